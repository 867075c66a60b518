# Petites lecons pour un nouvel éleveur: une par jour, sous la tache la plus pressante du rappel.
#
# At most 96 septets each with a unit of five characters; only letters of the GSM alphabet. A native speaker has still to check them.

## The first week.

one-line = Chaque matin une ligne suffit: la cage, puis les grammes, comme "{ $unit } 12.5".
care = Dites les soins dans la meme ligne: "{ $unit } 12.5 eau appat". La liste suivra.
how-is = "{ $unit }?" dit comment va une cage. "taches" donne la liste du jour.
slip = Une erreur? "corrige { $unit } 11.5" change le jour; "annule" reprend la ligne.
other-day = Un jour oublié? "{ $unit } 12.5 hier" ou "{ $unit } 12.5 lundi" compte encore.
questions = Si la réponse demande, rien n'est noté encore: "oui" ou "non" décide.
quiet = "heure 6" change l'heure, "absent 5" fait une pause, "lecons arret" y met fin.

## Each stage of a cage.

water = Les mouches boivent sans manger: une serviette mouillée dans une boite d'eau.
bait-and-traps = Un appat qui sent fort attire: posez les pièges dessus avant les premiers oeufs.
moats = Les fourmis vident une cage: chaque pied dans l'eau savonneuse, jamais d'huile usée.
shade = Beaucoup de lumière, pas de chaleur directe: ombre dessus, cotés ouverts.
pull-traps = Relevez les pièges chaque matin: les oeufs éclosent après quatre jours environ.
weighing = Balance à zéro, oeufs sans le piège, avec décimale: 12.5. Sans oeufs, "0".
hatching = Faites éclore au chaud et humide, au-dessus de l'aliment; jamais au frigo.
retiring = Une cage qui donne peu perd sa place: "{ $unit } vider", puis de nouvelles pupes.
cleaning = Videz, balayez, lavez, séchez avant les pupes. Gardez les mouches mortes en appat.

## Cautions.

allergy = La poussière gene le souffle: masque, mouillez avant. Sifflement? Allez au centre.
waste = Gants, mains lavées. Demandez au bureau local quels déchets sont permis.
lifting = A deux pour ce qui est lourd, le dos droit. Des passages secs et libres.
