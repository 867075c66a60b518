# Every text that a member reads, in French.
#
# Plain and kind, short first: one text message holds 160 characters. Words in double quotes are keywords or whole
# lines that can be sent as they stand. Only letters of the GSM 7-bit alphabet: e with acute and grave, a and u with grave, but no
# cedilla in small letters, no circumflex and no ligature. A native speaker has still to check this file.

## What was recorded.

saved = Noté { $items }.
saved-for = Noté pour { $day }: { $items }.
already = Déjà noté: { $items }.
already-for = Déjà noté pour { $day }: { $items }.
corrected = Corrigé { $items }.
corrected-for = Corrigé pour { $day }: { $items }.
taken-back = Annulé: { $items }.
taken-back-for = Annulé pour { $day }: { $items }.
more = +{ $n } autres
more-unsaved = +{ $n } pas noté.
on-day = { $fact } ({ $day })

fact-eggs = { $grams }
fact-eggs-weighed = { $grams } ({ $gross } - { $tare })
fact-added = +{ $grams } (total du jour { $total })
fact-replaced = { $fact } (avant { $old })
fact-bait = appat
fact-water = eau
fact-moat = fossé
fact-traps = pièges
fact-shade = ombre
fact-swept = balayé
fact-stock = peuplée
fact-stock-count = peuplée, { $count } pupes
fact-stock-weight = peuplée, { $weight }
fact-stock-both = peuplée, { $weight } (environ { $count } pupes)
fact-mixed = ages mélangés
fact-dead = mouches mortes
fact-dead-weighed = mouches mortes { $grams }
fact-ants = fourmis
fact-temp = temp { $min } à { $max } C
fact-retired = vidée
fact-delivered = recu { $grams }
fact-delivered-own = recu { $grams } (à la ferme { $own }, { $difference })

## Days.

today = aujourd'hui
yesterday = hier
tomorrow = demain
day-mon = lun { $date }
day-tue = mar { $date }
day-wed = mer { $date }
day-thu = jeu { $date }
day-fri = ven { $date }
day-sat = sam { $date }
day-sun = dim { $date }

## Around a reply.

dust = Masque contre la poussière; si le souffle siffle, voyez un soignant.
bait-care = Gants pour l'appat, pas de restes de viande; puis lavez-vous les mains.
undo-hint = "annule" l'efface.
for-member = Pour { $member } { $name }:
entered-by = { $name } a noté pour vous:
entered-by-someone = Votre agent a noté pour vous:
repaired = { $typed } lu { $word }.

## Questions.

ask-other-weight = { $unit } a { $old } pour { $day }. { $new }: "oui" remplace, "ajoute" ajoute, "non" garde { $old }.
ask-add-again = { $unit }: { $grams } déjà ajouté, { $day } est à { $total }. Ajouter { $grams } encore? "oui" ou "non".
ask-delivery = { $grams } recu pour { $day }? La ferme a noté { $own }. "oui" garde { $grams }, ou envoyez le bon poids.
ask-delivery-again = { $day } a déjà { $total } d'eux. "oui" ajoute { $grams }, "non" l'oublie.
ask-delivery-large = { $grams } recu pour { $day }: est-ce juste? "oui" le garde, ou envoyez le bon poids.
ask-implausible = { $unit } { $said }: plus que prévu (jusqu'à { $most }). Est-ce juste? "oui" le note, ou envoyez le bon poids.
ask-implausible-likely = { $unit } { $said }: plus que prévu (jusqu'à { $most }). Est-ce { $likely }? "oui" note { $likely }, ou envoyez le bon poids.
ask-implausible-low = { $unit } { $said }: bien moins que prévu. Est-ce { $likely }? "oui" note { $likely }, ou envoyez le bon poids.
ask-too-early = { $unit } est peuplée { $days ->
    [0] d'aujourd'hui
    [one] d'hier
   *[other] depuis { $days } jours
  }: tot pour des oeufs. { $grams }, est-ce juste? "oui" le note, "non" l'oublie.
ask-not-stocked = { $unit } n'a pas de mouches notées: { $grams } pas noté. Une autre cage? Ou dites le peuplement: "{ $unit } peupler 8000".
ask-restock = { $unit } tourne depuis { $since }. "oui" la finit et recommence, "non" la garde.
ask-restock-count = { $unit } tourne depuis { $since }. "oui" la finit et met { $count } pupes, "non" la garde.
ask-restock-today = { $unit } a déjà été peuplée aujourd'hui. "oui" corrige, "non" garde.
ask-restock-today-count = { $unit } a déjà été peuplée aujourd'hui. "oui" corrige à { $count } pupes, "non" garde.
ask-stock-size = { $unit } { $count } pupes: est-ce juste? "oui" le note, ou envoyez le bon nombre.
ask-stock-size-likely = { $unit } { $count } pupes? Est-ce { $likely }? "oui" note { $likely }, ou envoyez le bon nombre.
ask-which-unit = Quelle cage: { $units }? Envoyez avec la cage, comme "{ $first } { $word }".
ask-which-unit-grams = { $grams } de quelle cage: { $units }? Envoyez comme "{ $first } { $grams }".
ask-whose = La ferme de qui: { $people }? Renvoyez en commencant par "pour { $first }".
ask-forget = Effacer votre nom, vos numéros et messages pour toujours? Vos cages finissent; les poids restent sans nom. "oui" efface, "non" garde tout.
ask-pin = Votre code? Envoyez ses chiffres. Rien n'est montré ni effacé avant. "non" abandonne. Les oeufs et les soins n'en demandent pas.
ask-new-pin = Envoyez le code voulu: 4 à 6 chiffres. On le demandera avant de montrer ou effacer vos données. "non" abandonne.

doubt-stuck-letter = { $text }: la lettre est-elle du code? Un espace après la cage, svp.
doubt-stuck-number = { $text }: où finit le code? Un espace après lui, svp.
doubt-two-numbers = { $text }: deux poids pour une cage.
doubt-split-decimal = { $text }: un poids ou deux? Un point, comme 12.5.
doubt-weight-for-many = { $text }: un poids va avec une cage.
doubt-comma = { $text }: virgule décimale ou milliers?
doubt-too-fine = { $text }: deux décimales au plus.
doubt-tare-or-day = { $text }: piège vide, ou un jour avant?
doubt-said-or-asked = { $text }: un poids, ou une question?
doubt-check-letter = { $text }: la lettre de controle ne va pas. Regardez la cage.
doubt-unsure = { $text }: pas noté. Une fois fait et sur, envoyez sans autres mots.
doubt-stock = { $text }: de nouvelles pupes?
doubt-same-as-yesterday = { $text }: tout est comme hier. Est-ce bien d'aujourd'hui?
doubt-clock-hour = { $text }: quelle heure? De 0 à 23, comme "heure 6".
doubt-new-cage = { $text } est une cage nouvelle ici. Le code est-il juste?
doubt-still-lays = { $text } pond encore, ou ses oeufs sont à venir. La vider?
doubt-far-off = { $text }: loin de l'habitude ici.
doubt-letter-missing = { $text }: un poids, ou une cage sans sa lettre?
doubt-twice = { $text }: une cage y est deux fois. Une autre?
doubt-word = { $text }: un mot n'est pas sur.
doubt-day-word = { $text }: est-ce { $day }?
doubt-nothing = { $text }: rien récolté?
doubt-yes-line = "oui" note tout pour ce jour. D'aujourd'hui? Envoyez sans ce mot.
doubt-options = Est-ce { $options }?
doubt-yes = "oui" note { $item }, ou renvoyez.
doubt-yes-all = "oui" note tout, ou envoyez le bon.
doubt-again = Pas noté; renvoyez, svp.

## Not understood.

unread-words = Pas compris: { $words }.
unread-part = Une partie n'est pas comprise.
unread-nothing = Merci. Rien à noter là-dedans; écrivez comme "{ $example }", ou "aide".
unread-example = Attendu { $expected }, comme "{ $example }".
teach-number = Désolé, pas compris non plus. Une ligne pour chez vous: "{ $example }". Envoyez-la ainsi, avec votre nombre, sans autre mot. Plus: "aide".
teach-line = Désolé, pas compris non plus. Une ligne pour chez vous: "{ $example }". Envoyez-la ainsi une fois fait, sans autre mot. Plus: "aide".
expect-cage-or-word = une cage ou un mot
expect-weight-or-word = un poids ou un mot
expect-weight = un poids
expect-amount = des pupes, en nombre ou poids
expect-two-temperatures = la plus basse et la plus haute
expect-day = un jour passé
expect-days = un nombre de jours
expect-hour = une heure, 0 à 23
expect-member = un numéro de membre
expect-join-code = code et nom
expect-language = une langue
expect-range-end = deux cages
expect-no-number = pas de nombre ici
expect-received = les grammes recus
expect-shorter = un message plus court

## Refusals.

no-unknown-unit = Pas de cage { $unit }; vous avez { $units }. Rien noté pour elle. Pour la commencer: "{ $unit } peupler 8000".
no-units = Pas encore de cage { $unit }. Pour la commencer: "{ $unit } peupler 8000".
no-future-day = { $unit }: ce jour est à venir. Pas noté; envoyez quand c'est fait.
no-too-far-back = C'est à plus de { $days } jours. Pas noté; votre agent peut le noter.
no-too-far-back-at-all = C'est à plus de { $days } jours. Pas noté; vérifiez le jour.
no-before-stocking = { $unit } fut peuplée { $day }; ce jour est avant. Pas noté.
no-day-month = Dates en jour/mois, comme "C4 12.5 23/11". Pas noté.
no-not-running = { $unit } est vide. Pas noté. Pour la peupler: "{ $unit } peupler 8000".
no-not-member = Ce numéro n'est pas encore membre. Demandez le code à votre coopérative et envoyez "rejoindre CODE Nom".
no-wrong-join-code = Ce code n'est pas le bon. Demandez-le à votre coopérative et envoyez "rejoindre CODE Nom".
no-already-member = Vous etes déjà membre { $member }. Envoyez "aide" pour voir comment écrire.
no-not-allowed = Seul un agent peut le faire. Demandez au votre.
no-such-member = Pas de membre { $member }. Pas noté; vérifiez le numéro.
no-nothing-to-undo = Il n'y a rien à annuler.
no-question-open = Aucune question n'est ouverte. Rien n'a changé.
no-such-lang = Langues ici: { $langs }. Envoyez comme "langue { $first }".
no-check-letter = { $unit } demande aussi sa lettre de controle, peinte sur la cage. Pas noté.
no-out-of-bounds = Ce nombre n'est pas possible. Pas noté. Voir "aide { $word }".
no-too-many-units = Votre ferme a autant de cages qu'elle peut. Demandez à votre agent.
no-plan-amount = Pas d'oeufs notés pour un plan. Envoyez ce que vous voulez par semaine, comme "plan 40".
no-plan-cold = Trop froid ici pour que des mouches sortent: pas de plan. Envoyez les températures, comme "temp 18-31".
no-plan-cages = Il faut environ { $needed } cages; une ferme en a { $most } au plus. Visez moins.
no-plan-pupae = Il faut plus de pupes qu'on ne peut avoir. Visez moins.
no-plan-hold-back = Il faudrait garder environ { $share }% des larves; une colonie en laisse { $most }%. D'abord mieux éclore ou pondre.
no-pin-wrong = Ce n'est pas votre code. Essais restants: { $left }. Rien n'a été montré ni changé. Oublié? Le bureau peut l'enlever.
no-pin-locked = Code faux trop souvent: bloqué { $hours } heures. Les oeufs et les soins sont notés comme toujours. Le bureau peut enlever le code.
no-pin-plain = Ce code se devine trop bien; il n'est pas mis. Choisissez 4 à 6 autres chiffres: ni suite, ni répétition, ni votre numéro.
no-pin-kept = Vous avez un code, on ne le demandait pas. Rien n'est noté. Pour changer: code, l'ancien, le nouveau. Pour finir: code arret.
no-pin-none = Vous n'avez pas de code. Pour en mettre un: le mot code et 4 à 6 chiffres.
no-pin-another = Un code est à son membre: il le met par son propre téléphone. Le bureau peut l'enlever.
no-pin-unclear = Ce n'est pas un code; rien n'est fait. Écrivez le mot code et 4 à 6 chiffres, rien entre eux.

## How a weight compares.

compared-same = Comme prévu.
compared-low = { $unit } bas: prévu { $range }.
compared-high = { $unit } haut: prévu { $range }.

## Warnings: in full, and in brief for a crowded message.

warn-ants = Fourmis à { $units }: remplissez le fossé d'eau savonneuse, dégagez ce qui touche la cage. Ni huile usée, ni insecticide.
warn-ants-brief = Fourmis à { $units }: fossé, eau savonneuse.
warn-heat = { $max } C, trop chaud pour les mouches: ombre sur une partie des cages et eau fraiche tout de suite.
warn-heat-brief = { $max } C, chaud: ombre et eau.
warn-cold = { $min } C, froid: sous 13 C les mouches se figent. Couvrez les cages la nuit.
warn-cold-brief = { $min } C, froid: couvrez la nuit.
warn-no-entry = Rien depuis { $days } jours de { $units }. Des oeufs peuvent éclore dans les pièges: relevez et pesez, svp.
warn-no-entry-brief = Rien depuis { $days } jours de { $units }.
warn-no-eggs = { $units }: pas d'oeufs, attendus { $days ->
    [one] hier
   *[other] il y a { $days } jours
  }. Voyez mouches, appat, eau, soleil.
warn-no-eggs-brief = { $units }: pas d'oeufs, { $days ->
    [one] 1 jour
   *[other] { $days } jours
  } de retard.
warn-hatched = { $units }: pas de relève depuis { $days } jours, oeufs sans doute éclos. Posez des pièges neufs aujourd'hui.
warn-hatched-brief = { $units }: oeufs sans doute éclos au piège.
warn-hatch-soon = Au piège, éclosion d'ici demain: { $units }. Relevez et pesez aujourd'hui.
warn-hatch-soon-brief = { $units }: éclosion demain, relevez.
warn-poor = { $units } donne moins qu'elle ne devrait. Voyez d'abord: { $checks }.
warn-poor-brief = { $units } donne peu: voyez { $checks }.
warn-low = { $units } bas, prévu { $range }. Voyez d'abord: { $checks }.
warn-low-brief = { $units } bas, prévu { $range }: voyez { $checks }.
check-water = eau
check-bait = appat
check-heat = chaleur
check-ants = fourmis
warn-many-dead = Beaucoup de mortes à { $units }: voyez eau, ombre, fourmis. Masque pour balayer; si vous sifflez, allez au dispensaire.
warn-many-dead-brief = Beaucoup de mortes à { $units }: eau, ombre.
warn-crowded = { $units } a plus de mouches qu'une cage n'en porte bien. Ajoutez des points d'eau; moins la prochaine fois.
warn-crowded-brief = { $units } est trop pleine: moins la prochaine fois.

## Tasks.

tasks-today = Aujourd'hui: { $items }.
tasks-next = A faire: { $items }.
task-late = { $task } ({ $days ->
    [one] 1 jour de retard
   *[other] { $days } jours de retard
  })
task-very-late = { $task } ({ $days } jours de retard!)
task-long-late = { $task } (plus d'une semaine!)
task-collect = relever pièges { $units }
task-bait = appat { $units }
task-water = eau { $units }
task-moat = fossé { $units }
task-traps = pièges neufs { $units }
task-shade = ombre { $units }
task-swept = balayer { $units }
task-first-eggs = poser pièges et appat { $units }, oeufs proches
task-retire = vider et laver { $units }
task-restock = repeupler { $units }

## How a cage is.

state-empty = { $unit } est vide.
state-empty-since = { $unit } est vide depuis { $day }.
state-waiting = { $unit }: jour { $days }, premiers oeufs vers { $day }.
state-laying = { $unit }: jour { $days }, en ponte.
state-spent = { $unit }: jour { $days }, finie. Videz et lavez-la.
state-week = 7 jours: { $grams }.
state-last = 7 jours: { $week }, dernier { $grams } { $day }.
state-next = 7 jours à venir environ { $range }.
state-retire-by = A vider le { $day }.

## Answers.

joined = Bienvenue { $name }! Vous etes membre { $member } de { $coop }. Une cage commence par "C1 peupler 8000". Plus: "aide".
joined-nameless = Bienvenue! Vous etes membre { $member } de { $coop }. Une cage commence par "C1 peupler 8000". Plus: "aide".
lang-set = En francais désormais.
stopped = Vous ne recevrez plus de messages d'ici. "reprendre" les remet.
started = Bon retour. Les messages reprennent.
away-until = Pas de rappels avant { $day }. "retour" les remet.
back-again = Les rappels reprennent.
lessons-on = Les lecons continuent: une par jour au plus. "lecons arret" y met fin.
lessons-off = Plus de lecons; les rappels continuent. "lecons" les ramène.
hour-set = Rappels à { $hour }:00.
kept-weight = { $unit } reste à { $grams }.
kept-unit = { $unit } reste comme avant.
kept = Rien n'a changé.
no-tasks = Rien à faire pour l'instant. Bien tenu!
eggs-week = Oeufs en 7 jours: { $grams }.
eggs-weeks = Oeufs en 7 jours: { $grams }. 7 jours à venir: environ { $range }, estimé.
plan = Estimé, { $grams } d'oeufs/semaine: { $pupae } pupes dans { $at_once } sur { $cages } cages tous les { $days } j (vous: { $have }). Gardez { $keep } pupes/sem. Limite: { $limit }.
limit-cages = cages
limit-crowding = place par cage
limit-pupae = pupes
limit-hold-back = pupes gardées
next-question = Encore une:
my-data = Gardé: membre { $member } { $name }, zone { $ward }, tél. { $phones }, cages { $cages } et vos messages. Le bureau vous donne une copie. "oubliez" efface.
forgotten = Votre nom, vos numéros et messages sont effacés ici; les copies suivent en quelques jours. Plus de messages. Merci et au revoir.
pin-set = Code mis. On le demande avant de montrer ou effacer vos données, jamais pour les oeufs. Oublié? Le bureau l'enlève. Effacez votre texto.
pin-ended = Votre code est enlevé. On ne le demande plus.

## Help: one message each.

help = Oeufs: "C4 12.5". Soins: "C4 appat eau". Pupes: "C7 peupler 8000". Vu: "C4 fourmis". Aussi "taches" "corrige" "annule" "langue". Plus: "aide peupler".
help-eggs = Cage, puis grammes d'oeufs: "C4 12.5". Plusieurs: "C4 12.5 C5 8". Piège plein moins vide: "C4 62.5-50". Autre jour: "C4 12.5 hier".
help-stock = Pupes mises, en nombre ou poids: "C7 peupler 8000", "C7 peupler 1.2kg". Ages mélangés: "C7 peupler 1.2kg melange". Portez lourd à deux.
help-bait = Appat neuf: "C4 appat" ou "C1-C6 appat". Tous les 2 à 4 jours; humide, jamais sec. Pas de viande; gants, et mains lavées après.
help-water = Eau donnée: "C4 eau" ou "toutes eau". Chaque jour, deux fois par chaleur. Un linge mouillé; l'eau libre noie les mouches.
help-moat = Fossé rempli: "C4 fosse" ou "toutes fosse". Eau avec un peu de savon, ou graisse propre. Jamais d'huile de moteur usée.
help-traps = Pièges neufs: "C4 pieges". Fentes de 1 à 3 mm, sèches, juste sur l'appat. Relevez chaque jour: les oeufs éclosent après 3 jours.
help-shade = Ombre mise: "C4 ombre" ou "toutes ombre". Du soleil le matin pour l'accouplement, et de l'ombre pour rester sous 38 C.
help-swept = Mortes balayées: "C4 balaye". Humectez d'abord, masque: la poussière fait éternuer. Si vous sifflez, arretez et allez au dispensaire.
help-dead = Mouches mortes par poids: "C4 morts 40g". Masque, humectez d'abord. Si vous sifflez, allez au dispensaire. Gardez-en pour l'appat.
help-ants = Fourmis vues: "C4 fourmis". Fossé d'eau savonneuse, otez ce qui fait pont. Ni insecticide ni huile usée près des cages.
help-temp = Air le plus bas et le plus haut du jour, en C: "temp 18-31". A l'ombre près des cages. 38 et plus, c'est trop chaud.
help-retire = Cage vidée et lavée: "C4 vider". Derniers oeufs, brosse et masque, savon et eau, séchage au soleil. Pas d'insecticide.
help-tasks = "taches" ou "?" montre quoi faire aujourd'hui. "C4?" dit comment va une cage.
help-fix = Mauvais poids: "corrige C4 11.5" pour aujourd'hui, "corrige C4 11.5 lundi" pour lundi. Peuplement: "corrige C7 peupler 9000".
help-undo = "annule" efface tout votre dernier message. Puis envoyez le bon. Un seul nombre: "corrige C4 11.5".
help-add = Deuxième récolte du jour: "C4 3 ajoute". Elle s'ajoute au jour. Répond aussi quand deux poids sont demandés.
help-yes = "oui" dit oui à la dernière question et note ce qu'elle montre. "non" laisse tout comme avant.
help-no = "non" dit non à la dernière question: rien ne change. "oui" note ce qu'elle montre.
help-for = Un agent note pour un membre: "pour 2071 C4 12.5". Sur un téléphone partagé, dit de qui est la cage. Le membre est prévenu.
help-join = Devenir membre: "rejoindre CODE Nom". Votre coopérative a le code.
help-lang = "langue fr" est le francais, "langue en" l'anglais, "langue sw" le swahili. Les mots de tous sont toujours compris.
help-stop = "arret" finit tous les messages. Vos notes restent. "reprendre" remet les messages.
help-start = "reprendre" remet les messages après "arret".
help-help = "aide" montre les lignes; "aide" et un mot en dit plus, comme "aide appat" ou "aide oeufs".
help-plan = "plan 40" dit quoi peupler pour 40 g d'oeufs par semaine. C'est une estimation, pas une promesse.
help-away = Absent quelques jours: "absent 5". Pas de rappels. "retour" les remet.
help-back = "retour" remet les rappels avant la fin de "absent".
help-hour = Rappels à une autre heure: "heure 6" le matin, "heure 18" le soir.
help-got = Au point de collecte: "recu 2071 48.2" note les grammes recus du membre 2071. Il est prévenu; le chiffre de la ferme est montré à coté.
help-data = "mes donnees" dit ce qui est gardé de vous. Le bureau peut tout imprimer et corriger.
help-forget = "oubliez" efface votre nom, vos numéros et messages pour toujours. On vous le demande avant. Les poids restent sans nom.
help-lessons = Un nouvel éleveur apprend une chose par jour avec le rappel. "lecons arret" y met fin, "lecons" les ramène.
help-pin = "code" et 4 à 6 chiffres: demandé avant de montrer ou effacer vos données. "code", ancien, nouveau le change. "code arret" l'enlève.

## Keywords, as this language writes them.

word-eggs = oeufs
word-stock = peupler
word-bait = appat
word-water = eau
word-moat = fosse
word-traps = pieges
word-shade = ombre
word-swept = balaye
word-dead = morts
word-ants = fourmis
word-temp = temp
word-retire = vider
word-tasks = taches
word-fix = corrige
word-undo = annule
word-add = ajoute
word-yes = oui
word-no = non
word-for = pour
word-join = rejoindre
word-lang = langue
word-stop = arret
word-start = reprendre
word-help = aide
word-plan = plan
word-away = absent
word-back = retour
word-hour = heure
word-got = recu
word-data = donnees
word-forget = oubliez
word-lessons = lecons
word-pin = code
