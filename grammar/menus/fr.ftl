# Chaque texte du menu, en français. Un locuteur natif doit encore le relire.
# Only letters of the GSM 7-bit alphabet.

title = { $name }: { $left ->
    [0] plus rien à peser
    [one] 1 cage à peser
   *[other] { $left } cages à peser
  }
more = Suite
back = Retour
first = Début
save = Noter
other-day = Autre jour
choose = { $what }: choisissez
not-valid = Pas possible ici.
weigh = { $unit }: oeufs en grammes, comme 12.5
weigh-how = 000 pas d'oeufs
weigh-next = 000 pas d'oeufs, # suivante
round-done = Toutes les cages sont faites. Merci.
round-none = Aucune cage à peser aujourd'hui.
sure = { $line }: c'est juste?
days-back = Combien de jours avant? 1 est hier.
on-day = { $line }, { $days ->
    [one] hier
   *[other] il y a { $days } jours
  }
all = Toutes
new-cage = Nouvelle cage
new-cage-number = Numéro de la nouvelle cage?
which-cage = Quelle cage?
no-cage = Aucune cage ne convient.
by-count = Pupes par nombre
by-weight = Pupes par poids
type-count = { $what }: combien de pupes?
type-pupae-weight = { $what }: pupes en grammes?
one-age = Un seul age
mixed = Ages mélangés
mixed-word = melange
type-dead = { $what }: mouches mortes en grammes? # sans pesée
type-coldest = Température la plus basse, en C?
type-hottest = Température la plus haute, en C?
type-plan = Grammes d'oeufs voulus par semaine? # comme maintenant
type-days = Pas de rappels pendant combien de jours?
type-hour = Rappels à quelle heure, 1 à 23?
type-pin = Code: ses chiffres
type-member = Numéro du membre?
type-got = De { $what }: combien de grammes?
type-weight = { $what }: oeufs en grammes, comme 12.5?
yes = Oui
no = Non
replace = Remplacer
keep = Garder
add = Ajouter
go-on = Continuer là où vous étiez?
go-on-yes = Continuer
go-on-no = Recommencer
whose = Quelle ferme?
stranger = Ce numéro n'est pas encore membre.
join-code = Le code de votre coopérative?
join-name = Votre nom?
copy-on = Copies SMS: oui
copy-off = Copies SMS: non
copy-is-on = Ce que vous notez ici vient aussi par SMS.
copy-is-off = Ce que vous notez ici ne vient pas par SMS.
cage-state = Etat d'une cage
week-sum = Oeufs de la semaine
done = Fait.
bye = Au revoir.
busy = Occupé, rappelez dans une minute.

group-care = Soins faits
group-cages = Cages
group-seen = Vu
group-reminders = Rappels
group-messages = Messages

item-eggs = Oeufs
item-stock = Peupler une cage
item-bait = Appat
item-water = Eau
item-moat = Fossé
item-traps = Pièges
item-shade = Ombre
item-swept = Balayé
item-dead = Mouches mortes
item-ants = Fourmis
item-temp = Température
item-retire = Vider une cage
item-tasks = Travaux du jour
item-fix = Corriger un poids
item-undo = Effacer le dernier
item-add = Deuxième récolte
item-yes = Répondre
item-no = Non
item-for = Noter pour un membre
item-join = Adhérer
item-lang = Langue
item-stop = Plus de messages
item-start = Messages de nouveau
item-data = Mes données
item-forget = Oubliez-moi
item-help = Aide
item-plan = Plan
item-away = Absent
item-back = De retour
item-hour = Heure
item-lessons = Lecons
item-pin = Code
item-got = Oeufs recus
