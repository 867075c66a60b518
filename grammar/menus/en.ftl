# Every text of the menu, in English. A screen holds 160 letters with its choices: keep each short.
# Only letters of the GSM 7-bit alphabet.

title = { $name }: { $left ->
    [0] nothing left to weigh
    [one] 1 cage to weigh
   *[other] { $left } cages to weigh
  }
more = More
back = Back
first = First screen
save = Save
other-day = Other day
choose = { $what }: choose
not-valid = Not possible here.
weigh = { $unit }: eggs in grams, like 12.5
weigh-how = 000 no eggs
weigh-next = 000 no eggs, # next cage
round-done = All laying cages are done. Thank you.
round-none = No cage waits for a weight today.
sure = { $line }: is it right?
days-back = How many days back? 1 is yesterday.
on-day = { $line }, { $days ->
    [one] yesterday
   *[other] { $days } days ago
  }
all = All
new-cage = A new cage
new-cage-number = Number of the new cage?
which-cage = Which cage?
no-cage = No cage fits that.
by-count = Pupae by count
by-weight = Pupae by weight
type-count = { $what }: how many pupae?
type-pupae-weight = { $what }: pupae in grams?
one-age = All of one age
mixed = Mixed ages
mixed-word = mixed
type-dead = { $what }: dead flies in grams? # if not weighed
type-coldest = Lowest temperature of the day in C?
type-hottest = Highest temperature of the day in C?
type-plan = Grams of eggs wanted each week? # for as many as now
type-days = No reminders for how many days?
type-hour = Reminders at which hour, 1 to 23?
type-pin = PIN: its digits
type-member = Number of the member?
type-got = From { $what }: how many grams received?
type-weight = { $what }: eggs in grams, like 12.5?
yes = Yes
no = No
replace = Replace
keep = Keep
add = Add
go-on = Go on where you stopped?
go-on-yes = Go on
go-on-no = Begin anew
whose = Whose farm?
stranger = This number is not a member yet.
join-code = The code of your cooperative?
join-name = Your name?
copy-on = SMS copies on
copy-off = SMS copies off
copy-is-on = What you save here comes as an SMS too.
copy-is-off = What you save here comes as no SMS.
cage-state = How is a cage
week-sum = Eggs of the week
done = Done.
bye = Goodbye.
busy = Busy, please dial again in a minute.

group-care = Care done
group-cages = Cages
group-seen = Seen
group-reminders = Reminders
group-messages = Messages

item-eggs = Eggs
item-stock = Stock a cage
item-bait = Bait
item-water = Water
item-moat = Moat
item-traps = Traps
item-shade = Shade
item-swept = Swept
item-dead = Dead flies
item-ants = Ants
item-temp = Temperature
item-retire = Empty a cage
item-tasks = Tasks today
item-fix = Correct a weight
item-undo = Take back the last
item-add = A second harvest
item-yes = Answer the question
item-no = No
item-for = Enter for a member
item-join = Join
item-lang = Language
item-stop = No messages
item-start = Messages again
item-data = My data
item-forget = Forget me
item-help = Help
item-plan = Plan
item-away = Away
item-back = I am back
item-hour = Hour
item-lessons = Lessons
item-pin = PIN
item-got = Eggs received
