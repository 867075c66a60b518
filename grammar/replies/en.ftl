# Every text that a member reads, in English.
#
# Plain and kind, short first: one text message holds 160 characters. Words in double quotes are keywords or whole
# lines that can be sent as they stand. Only letters of the GSM 7-bit alphabet.

## What was recorded.

saved = Saved { $items }.
saved-for = Saved for { $day }: { $items }.
already = Saved before: { $items }.
already-for = Saved before, for { $day }: { $items }.
corrected = Corrected { $items }.
corrected-for = Corrected for { $day }: { $items }.
taken-back = Taken back: { $items }.
taken-back-for = Taken back for { $day }: { $items }.
more = +{ $n } more
more-unsaved = +{ $n } not saved.
on-day = { $fact } ({ $day })

fact-eggs = { $grams }
fact-eggs-weighed = { $grams } ({ $gross } - { $tare })
fact-added = +{ $grams } (day total { $total })
fact-replaced = { $fact } (was { $old })
fact-bait = bait
fact-water = water
fact-moat = moat
fact-traps = traps
fact-shade = shade
fact-swept = swept
fact-stock = stocked
fact-stock-count = stocked { $count } pupae
fact-stock-weight = stocked { $weight }
fact-stock-both = stocked { $weight } (about { $count } pupae)
fact-mixed = mixed ages
fact-dead = dead flies
fact-dead-weighed = dead flies { $grams }
fact-ants = ants
fact-temp = temp { $min } to { $max } C
fact-retired = emptied
fact-delivered = received { $grams }
fact-delivered-own = received { $grams } (farm's own { $own }, { $difference })

## Days.

today = today
yesterday = yesterday
tomorrow = tomorrow
day-mon = Mon { $date }
day-tue = Tue { $date }
day-wed = Wed { $date }
day-thu = Thu { $date }
day-fri = Fri { $date }
day-sat = Sat { $date }
day-sun = Sun { $date }

## Around a reply.

dust = Mask on for the dust; if you wheeze, see a clinic.
bait-care = Gloves for bait, no meat waste; then wash your hands.
undo-hint = "undo" takes it back.
for-member = For { $member } { $name }:
entered-by = { $name } entered for you:
entered-by-someone = Your officer entered for you:
repaired = Read { $typed } as { $word }.

## Questions.

ask-other-weight = { $unit } has { $old } for { $day }. Now { $new }: "yes" replaces, "add" adds, "no" keeps { $old }.
ask-add-again = { $unit }: { $grams } was added before, { $day } is at { $total }. Add { $grams } again? "yes" or "no".
ask-delivery = Received { $grams } for { $day }? The farm's own record is { $own }. "yes" saves { $grams }, or send the right weight.
ask-delivery-again = { $day } has { $total } from them already. "yes" adds { $grams }, "no" drops it.
ask-delivery-large = Received { $grams } for { $day }: is it right? "yes" saves it, or send the right weight.
ask-implausible = { $unit } { $said } is more than expected (up to { $most }). Is it right? "yes" saves it, or send the right weight.
ask-implausible-likely = { $unit } { $said } is more than expected (up to { $most }). Is it { $likely }? "yes" saves { $likely }, or send the right weight.
ask-implausible-low = { $unit } { $said } is far less than expected. Is it { $likely }? "yes" saves { $likely }, or send the right weight.
ask-too-early = { $unit } was stocked { $days ->
    [0] today
    [one] 1 day ago
   *[other] { $days } days ago
  }: early for eggs. Is { $grams } right? "yes" saves it, "no" drops it.
ask-not-stocked = { $unit } has no flies on record, so { $grams } is not saved. Another cage? Or send how it was stocked, like "{ $unit } stock 8000".
ask-restock = { $unit } is running since { $since }. "yes" ends that and starts it anew, "no" keeps it.
ask-restock-count = { $unit } is running since { $since }. "yes" ends that and stocks { $count } pupae anew, "no" keeps it.
ask-restock-today = { $unit } was stocked today already. "yes" corrects that, "no" keeps it.
ask-restock-today-count = { $unit } was stocked today already. "yes" corrects it to { $count } pupae, "no" keeps it.
ask-stock-size = { $unit } stocked { $count } pupae: is it right? "yes" saves it, or send the right number.
ask-stock-size-likely = { $unit } stocked { $count } pupae? Is it { $likely }? "yes" saves { $likely }, or send the right number.
ask-which-unit = Which cage: { $units }? Send it with its cage, like "{ $first } { $word }".
ask-which-unit-grams = { $grams } from which cage: { $units }? Send it like "{ $first } { $grams }".
ask-whose = Whose farm: { $people }? Send it again, beginning "for { $first }".
ask-forget = Erase your name, phones and messages for good? Your cages end; weights stay without a name. "yes" does it, "no" keeps all.
ask-pin = Your PIN? Send its digits. Nothing is shown or ended before. "no" drops it. Eggs and care need no PIN.
ask-new-pin = Send the PIN that you want: 4 to 6 digits. It is asked for before your data are shown or erased. "no" drops it.

doubt-stuck-letter = { $text }: is the letter a part of the cage code? Put a space after the cage.
doubt-stuck-number = { $text }: where does the cage code end? Put a space after it.
doubt-two-numbers = { $text }: two weights for one cage.
doubt-split-decimal = { $text }: one weight or two? Use a point, like 12.5.
doubt-weight-for-many = { $text }: a weight needs its own cage.
doubt-comma = { $text }: is the comma a point or thousands?
doubt-too-fine = { $text }: a weight has two decimals at most.
doubt-tare-or-day = { $text }: an empty trap, or a day back?
doubt-said-or-asked = { $text }: a weight, or a question?
doubt-check-letter = { $text }: the check letter does not fit. Please look at the cage again.
doubt-unsure = { $text }: not saved. Once it is done and certain, send it without other words.
doubt-stock = { $text }: new pupae?
doubt-same-as-yesterday = { $text }: all the same as yesterday. Is it today's?
doubt-clock-hour = { $text }: which hour? Count from 0 to 23, like "hour 6".
doubt-new-cage = { $text } is a new cage here. Is its code right?
doubt-still-lays = { $text } still lays, or its eggs are not due yet. Empty it?
doubt-far-off = { $text }: far from what is usual here.
doubt-letter-missing = { $text }: a weight, or a cage without its letter?
doubt-twice = { $text }: one cage stands there twice. Was another meant?
doubt-word = { $text }: one word is not certain.
doubt-day-word = { $text }: is that { $day }?
doubt-nothing = { $text }: was nothing taken?
doubt-yes-line = "yes" saves it all for that day. Of today? Send it without that word.
doubt-options = Is it { $options }?
doubt-yes = "yes" saves { $item }, or send it again.
doubt-yes-all = "yes" saves it all, or send today's.
doubt-again = Not saved; please send it again.

## Not understood.

unread-words = Not understood: { $words }.
unread-part = A part was not understood.
unread-nothing = Thanks. There is nothing to save in that; write a line like "{ $example }", or "help".
unread-example = Expected { $expected }, like "{ $example }".
teach-number = Sorry, not understood again. A line for your farm: "{ $example }". Send it like that, with your own number and no other words. More: "help".
teach-line = Sorry, not understood again. A line for your farm: "{ $example }". Send it like that when it is done, without other words. More: "help".
expect-cage-or-word = a cage or a keyword
expect-weight-or-word = a weight or a keyword
expect-weight = a weight
expect-amount = pupae, as a count or weight
expect-two-temperatures = lowest and highest temperature
expect-day = a past day
expect-days = a number of days
expect-hour = an hour, 0 to 23
expect-member = a member number
expect-received = grams received
expect-join-code = code and name
expect-language = a language
expect-range-end = two cages
expect-no-number = no number here
expect-shorter = a shorter message

## Refusals.

no-unknown-unit = There is no cage { $unit }; you have { $units }. Nothing saved for it. To start it: "{ $unit } stock 8000".
no-units = There is no cage { $unit } yet. To start it: "{ $unit } stock 8000".
no-future-day = { $unit }: that day is still to come. Not saved; send it when it is done.
no-too-far-back = That is more than { $days } days back. Not saved; your officer can enter it.
no-too-far-back-at-all = That is more than { $days } days back. Not saved; please check the day.
no-before-stocking = { $unit } was stocked { $day }; that day is earlier. Not saved.
no-day-month = Dates are day/month, like "C4 12.5 23/11". Not saved.
no-not-running = { $unit } is empty. Not saved. To stock it: "{ $unit } stock 8000".
no-not-member = This number is not a member yet. Ask your cooperative for its code and send "join CODE Name".
no-wrong-join-code = That code is not right. Ask your cooperative for it and send "join CODE Name".
no-already-member = You are member { $member } already. Send "help" to see how to write.
no-not-allowed = Only an officer can do that. Please ask yours.
no-such-member = There is no member { $member }. Not saved; please check the number.
no-nothing-to-undo = There is nothing to take back.
no-question-open = No question is open. Nothing was changed.
no-such-lang = Languages here: { $langs }. Send it like "lang { $first }".
no-check-letter = { $unit } needs its check letter too, as painted on the cage. Not saved.
no-out-of-bounds = That number cannot be right. Not saved. See "help { $word }".
no-too-many-units = Your farm has as many cages as it can have. Please ask your officer.
no-plan-amount = No eggs on record to plan from. Send how much you want a week, like "plan 40".
no-plan-cold = It is too cold here for flies to emerge, so there is no plan. Send temperatures, like "temp 18-31".
no-plan-cages = That takes about { $needed } cages; a farm can have { $most }. Cages are the limit: plan for less.
no-plan-pupae = That takes more pupae than can be had. Pupae are the limit: plan for less.
no-plan-hold-back = About { $share }% of all larvae would have to be kept back; a colony spares { $most }%. That is the limit: hatching or laying must improve first.
no-pin-wrong = That is not your PIN. Tries left: { $left }. Nothing was shown or changed. Forgotten? The office can end it.
no-pin-locked = Wrong PIN too often: locked for { $hours } hours. Eggs and care are saved as always. The office can end the PIN.
no-pin-plain = That PIN is too easy to guess, and was not set. Choose other digits, 4 to 6: no row, no repeats, not your number.
no-pin-kept = You have a PIN, and nobody asked for it. Nothing was saved. To change it: pin, the old, the new. To end it: pin off.
no-pin-none = You have no PIN. To set one: the word pin and 4 to 6 digits of your own.
no-pin-another = A PIN is its member's own: they set it by their own phone. The office can end one.
no-pin-unclear = That is no PIN; nothing was done with it. Write the word pin and 4 to 6 digits, nothing between them.

## How a weight compares.

compared-same = As expected.
compared-low = { $unit } low: expected { $range }.
compared-high = { $unit } high: expected { $range }.

## Warnings: in full, and in brief for a crowded message.

warn-ants = Ants at { $units }: refill the moat with soapy water, clear what touches the cage. No used oil, no insecticide near cages.
warn-ants-brief = Ants at { $units }: refill the moat, soapy water.
warn-heat = { $max } C is too hot for flies: give shade over part of the cages and fresh water now.
warn-heat-brief = { $max } C is hot: shade and water.
warn-cold = { $min } C is cold: flies grow stiff below 13 C. Cover the cages at night.
warn-cold-brief = { $min } C is cold: cover the cages at night.
warn-no-entry = No entry for { $days } days from { $units }. Eggs may hatch in the traps: please pull and weigh them.
warn-no-entry-brief = No entry for { $days } days from { $units }.
warn-no-eggs = { $units }: no eggs, due { $days ->
    [one] 1 day
   *[other] { $days } days
  } ago. Check flies, bait, water and sun.
warn-no-eggs-brief = { $units }: no eggs, { $days ->
    [one] 1 day
   *[other] { $days } days
  } late.
warn-hatched = { $units }: no traps pulled for { $days } days, eggs have probably hatched. Set fresh traps today.
warn-hatched-brief = { $units }: eggs probably hatched in the trap.
warn-hatch-soon = Eggs at { $units } will hatch in the trap by tomorrow: pull and weigh them today.
warn-hatch-soon-brief = { $units }: eggs hatch by tomorrow, pull today.
warn-poor = { $units } gives less than it should these days. Check first: { $checks }.
warn-poor-brief = { $units } gives little: check { $checks }.
warn-low = { $units } is low, expected { $range }. Check first: { $checks }.
warn-low-brief = { $units } low, expected { $range }: check { $checks }.
check-water = water
check-bait = bait
check-heat = heat
check-ants = ants
warn-many-dead = Many dead flies at { $units }: check water, shade and ants. Wear a mask when you sweep; if you wheeze, see a clinic.
warn-many-dead-brief = Many dead flies at { $units }: check water and shade.
warn-crowded = { $units } holds more flies than a cage is known to keep well. Add water points; stock fewer next time.
warn-crowded-brief = { $units } is crowded: stock fewer next time.

## Tasks.

tasks-today = Today: { $items }.
tasks-next = Do: { $items }.
task-late = { $task } ({ $days ->
    [one] 1 day late
   *[other] { $days } days late
  })
task-very-late = { $task } ({ $days } days late!)
task-long-late = { $task } (over a week late!)
task-collect = pull traps { $units }
task-bait = bait { $units }
task-water = water { $units }
task-moat = moat { $units }
task-traps = new traps { $units }
task-shade = shade { $units }
task-swept = sweep { $units }
task-first-eggs = set traps and bait { $units }, eggs soon
task-retire = empty and clean { $units }
task-restock = stock { $units } again

## How a cage is.

state-empty = { $unit } is empty.
state-empty-since = { $unit } is empty since { $day }.
state-waiting = { $unit }: day { $days }, first eggs about { $day }.
state-laying = { $unit }: day { $days }, laying.
state-spent = { $unit }: day { $days }, past its time. Empty and clean it.
state-week = 7 days: { $grams }.
state-last = 7 days: { $week }, last { $grams } { $day }.
state-next = Next 7 days about { $range }.
state-retire-by = Empty it by { $day }.

## Answers.

joined = Welcome { $name }! You are member { $member } of { $coop }. Start a cage like "C1 stock 8000". More: "help".
joined-nameless = Welcome! You are member { $member } of { $coop }. Start a cage like "C1 stock 8000". More: "help".
lang-set = English from now on.
stopped = You get no more messages from here. "start" turns them on again.
started = Welcome back. Messages are on again.
away-until = No reminders until { $day }. "back" turns them on.
back-again = Reminders are on again.
lessons-on = Lessons go on: one a day at most, each once. "lessons stop" ends them.
lessons-off = No more lessons; reminders go on. "lessons" brings them back.
hour-set = Reminders come at { $hour }:00.
kept-weight = { $unit } stays at { $grams }.
kept-unit = { $unit } stays as it was.
kept = Nothing was changed.
no-tasks = Nothing to do now. Well kept!
eggs-week = Eggs in 7 days: { $grams }.
eggs-weeks = Eggs in 7 days: { $grams }. Next 7 days: about { $range }, an estimate.
plan = Estimate, { $grams } of eggs a week: { $pupae } pupae each in { $at_once } of { $cages } cages every { $days } d (you have { $have }). Keep { $keep } pupae a week. Limit: { $limit }.
limit-cages = cages
limit-crowding = room in a cage
limit-pupae = pupae
limit-hold-back = pupae kept back
next-question = One more:
my-data = Kept of you: member { $member } { $name }, ward { $ward }, phones { $phones }, cages { $cages } and your messages. The office gives you a copy. "forget me" erases it.
forgotten = Your name, phones and messages are erased here; copies follow within days. You get no more messages. Thank you and goodbye.
pin-set = PIN set. It is asked for before your data are shown or erased; eggs and care need none. Forgotten? The office can end it. Delete your text.
pin-ended = Your PIN is ended. Nothing asks for it any more.

## Help: one message each.

help = Eggs: "C4 12.5". Care: "C4 bait water". New flies: "C7 stock 8000". Seen: "C4 ants". Also "tasks" "fix" "undo" "lang". More, like "help stock".
help-eggs = Cage, then grams of eggs: "C4 12.5". More cages: "C4 12.5 C5 8". Trap with eggs less empty trap: "C4 62.5-50". Another day: "C4 12.5 yesterday".
help-stock = Pupae put in, by count or weight: "C7 stock 8000", "C7 stock 1.2kg". Mixed ages: "C7 stock 1.2kg mixed". A cage of 1 m3 is usual; lift heavy boxes in pairs.
help-bait = New bait: "C4 bait" or "C1-C6 bait". Every 2 to 4 days; wet as a squeezed cloth, never dry. No meat waste; gloves, and wash your hands after.
help-water = Water given: "C4 water" or "all water". Daily, twice when hot. Flies drink from a wet cloth or wick; open water drowns them.
help-moat = Ant moat filled: "C4 moat" or "all moat". Water with a little soap, or clean grease. Never used engine oil: it harms skin, soil and water.
help-traps = New egg traps set: "C4 traps". Slits of 1 to 3 mm, dry, just above the bait. Pull them daily: eggs hatch after 3 days when warm.
help-shade = Shade set: "C4 shade" or "all shade". Flies need morning sun to mate, and shade over a part so that the air stays below 38 C.
help-swept = Dead flies swept out: "C4 swept". Damp them first and wear a mask: the dust makes some people sneeze or wheeze. If so, stop and see a clinic.
help-dead = Dead flies by weight: "C4 dead 40g". Wear a mask, damp them first. If you sneeze or wheeze, stop and see a clinic. Keep some for bait.
help-ants = Ants seen: "C4 ants". Refill the moat with soapy water and clear what bridges it. No insecticide or used oil near cages: it kills flies.
help-temp = Lowest and highest air of the day, in C: "temp 18-31". Measure in the shade beside the cages. 38 and more is too hot.
help-retire = Cage emptied and cleaned: "C4 retire". Last eggs out, brush with a mask on, soap and water, dry in the sun. No insecticide, no treated net.
help-tasks = "tasks" or "?" shows what to do today. "C4?" shows how a cage is.
help-fix = Wrong weight: "fix C4 11.5" sets today's, "fix C4 11.5 mon" Monday's. Wrong stocking: "fix C7 stock 9000".
help-undo = "undo" takes back your last message, all of it. Then send the right one. One number only: "fix C4 11.5".
help-add = A second harvest of the same day: "C4 3 add". It is added to what the day has. Also an answer when two weights are asked about.
help-yes = "yes" answers the last question with yes and saves what it shows. "no" leaves things as they were.
help-no = "no" answers the last question with no: nothing changes. "yes" saves what it shows.
help-for = An officer enters for a member: "for 2071 C4 12.5". On a shared phone it says whose cage it is. The member is told.
help-join = Become a member: "join CODE Name". Your cooperative has the code.
help-lang = "lang en" is English, "lang sw" Kiswahili, "lang fr" French. Words of all of them are always understood.
help-stop = "stop" ends all messages to you. Your records stay. "start" turns messages on again.
help-start = "start" turns messages to you on again after "stop".
help-help = "help" shows the main lines; "help" and a word tells more, like "help bait" or "help eggs".
help-plan = "plan 40" tells what to stock for 40 g of eggs a week. It is an estimate, not a promise.
help-away = Away for some days: "away 5". No reminders meanwhile. "back" turns them on again.
help-back = "back" turns reminders on again before "away" is over.
help-hour = Reminders at another hour: "hour 6" is six in the morning, "hour 18" six in the evening.
help-got = At a collection point: "got 2071 48.2" notes grams received from member 2071. The member is told, and the farm's own figure is shown beside it.
help-data = "my data" tells what is kept of you. The office can print all of it and correct what is wrong.
help-forget = "forget me" erases your name, phones and messages for good. It asks first. Weights stay without a name.
help-lessons = A new keeper is told one thing a day with the reminder. "lessons stop" ends that, "lessons" brings it back.
help-pin = "pin" and 4 to 6 digits: asked for before your data are shown or erased. "pin", old, new changes it. "pin off" ends it.

## Keywords, as this language writes them.

word-eggs = eggs
word-stock = stock
word-bait = bait
word-water = water
word-moat = moat
word-traps = traps
word-shade = shade
word-swept = swept
word-dead = dead
word-ants = ants
word-temp = temp
word-retire = retire
word-tasks = tasks
word-fix = fix
word-undo = undo
word-add = add
word-yes = yes
word-no = no
word-for = for
word-join = join
word-lang = lang
word-stop = stop
word-start = start
word-help = help
word-plan = plan
word-away = away
word-back = back
word-hour = hour
word-got = got
word-data = data
word-forget = forget
word-lessons = lessons
word-pin = pin
