# Short lessons for a new keeper, in English: one a day, below the most urgent job of the reminder.
#
# At most 96 septets each with a unit of five characters, so that both fit one part. Words in double quotes can be sent as they stand.
# Facts: docs/model.md names the sources; what it does not name is common practice, no source.

## The first week.

one-line = Each morning one line is enough: cage, then grams, like "{ $unit } 12.5".
care = Tell care in the same line: "{ $unit } 12.5 water bait". The next list knows it.
how-is = "{ $unit }?" tells how a cage is and what it may give. "tasks" is the day's list.
slip = A slip? "fix { $unit } 11.5" puts today right; "undo" takes back your last line.
other-day = Missed a day? "{ $unit } 12.5 yesterday" or "{ $unit } 12.5 mon" still counts.
questions = When a reply asks, nothing is saved yet: "yes" or "no" settles it.
quiet = "hour 6" moves these texts, "away 5" rests them, "lessons stop" ends the lessons.

## Each stage of a cage.

water = Flies drink, they do not eat: a wet towel in a box of water, filled up each day.
bait-and-traps = Strong-smelling bait draws flies: set traps on top of it before first eggs.
moats = Ants can empty a cage: stand every leg in water with a little soap, never in oil.
shade = Flies want much light but no direct heat: shade above the cage, sides open.
pull-traps = Pull traps each morning at one hour: eggs hatch after about four days.
weighing = Zero the scale, weigh eggs without the trap, tell tenths: 12.5. No eggs is "0".
hatching = Hatch eggs warm and moist, above fresh feed and not in it; never in a fridge.
retiring = A cage that gives little wastes its space: "{ $unit } retire", then stock it anew.
cleaning = Empty, sweep, wash and dry a cage before new pupae. Keep dead flies for bait.

## Cautions.

allergy = Fly dust can hurt breathing: mask on, damp it first. If you wheeze, see a clinic.
waste = Gloves on, wash hands. Ask your local office which waste you may use and keep.
lifting = Two people lift what is heavy, with a straight back. Keep paths dry and clear.
