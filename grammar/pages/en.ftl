# Texts of the cooperative's room.
room = clutchline
skip = Go to the page
nav-label = Pages
nav-today = Today
nav-supply = Supply
nav-farms = Farms
nav-unreadable = Unreadable
nav-members = Members
nav-print = Print
nav-broadcast = Broadcast
nav-export = Export
nav-settings = Settings
nav-audit = Users and trail
lang-label = Language
sign-in = Sign in
sign-out = Sign out
user = User
password = Password
code = Code
code-hint = Only where a second factor is set up
sign-in-wrong = This name, password or code does not fit. Try again, or ask the manager for a new password.
sign-in-wait =
    { $minutes ->
        [one] Too many wrong passwords. Try again in a minute.
       *[other] Too many wrong passwords. Try again in { $minutes } minutes.
    }
account = Your account
role = Role
role-viewer = Viewer: reads
role-officer = Officer: enters and corrects for members
role-manager = Manager: settings and users too
wards = Wards
all-wards = All wards
enters-as = Enters as member
enters-as-nobody = Nobody yet. A manager names an officer among the members: clutchline user role NAME officer --member NUMBER
second-factor = Second factor
yes = Yes
no = No
new-password = New password
password-now = Password now
password-wrong = The password now is not this one.
password-short = A password has { $least } letters or more, such as four words that do not belong together.
save = Save
users = Users
users-hint = Users are added and closed on the gateway's machine: clutchline user add NAME --role officer
closed = Closed
trail = Who did what
trail-none = Nothing.
trail-filling = Older deeds are still being put in order by member: come back in a minute.
all-users = All users
older = Older
newest = Newest
when = When
what = What
member = Member
before = Before
after = After
did-user-added = User added
did-password-set = Password set
did-power-set = Role set
did-wards-set = Wards set
did-member-set = Officer set
did-lang-set = Language set
did-totp-set = Second factor set
did-closed = User closed
did-signed-in = Signed in
did-entered = Entered for a member
did-interpreted = Said what a message meant
did-laid-aside = Laid a message aside
did-taught = Taught a word
did-user-changed = Changed a user
did-member-changed = Changed a member
did-imported = Brought members in
did-printed = Printed
did-exported = Exported
did-broadcast = Sent to many
did-settings-changed = Changed settings
did-visited = Noted a visit
refused-title = This did not work
refused-sign-in = Sign in first.
refused-not-allowed = Your role does not reach this page. A manager can change that.
refused-not-found = There is no such page, or it is not one of your wards.
refused-method = This page takes another kind of request.
refused-form = This form was open too long, or it is not ours. Go back, load the page again and send it once more.
refused-body = This form or file is too large to be read.
refused-counter = The records cannot be reached just now. Nothing was changed. Try again in a minute.
go-home = Go to today
weekdays = Mon Tue Wed Thu Fri Sat Sun
farms = farms
cages-running = cages in use
last-7-days = taken in the last 7 days
next-7-days = expected in the next 7 days
next-14-days = expected in the next 14 days
middle = the middle: as likely more as less
needs-title = Farms that need somebody
needs-hint = Most eggs at stake first: what was expected this week and did not come, and what the coming week loses if nothing changes. Estimates.
needs-no-farm = No farm yet. Who grows texts "join { $code }" and a name to your number, or the office enters them under Members.
needs-none = No farm stands out. What was expected came, within what the model can tell.
stake-split = { $missing } missing this week, { $ahead } next week
stake-missing = { $missing } missing this week
call = Call
asked-title = Questions that wait for an answer
questions-open =
    { $n ->
        [one] one open question
       *[other] { $n } open questions
    }
unread-title = Messages that nobody could read
unread-none = Every message has been read.
unread-all = All unreadable messages
last-message = Last message,
reason-missing = { $cages } gave { $grams } less than expected in the last 7 days.
reason-silent = Nothing entered for { $days } days.
reason-never = Nothing has been entered yet.
look-water = Look at the water first.
look-bait = Look at the bait first.
look-heat = It was hot: look at the shade first.
look-ants = Ants were seen: look at the moats first.
band-hint = Four chances in five that it lies between the two numbers. From the cages now in use; new stockings come on top.
supply-chart = Eggs taken each day, and expected each day
taken = Taken
expected-band = Expected, four chances in five
was-expected = Expected a fortnight ago
by-ward = By ward
ward = Ward
no-ward = Without a ward
looked-back = How good the last forecast was
looked-back-none = Nothing can be said yet: no cage was in use a fortnight ago.
looked-back-told = A fortnight ago { $expected } was expected of the cages then in use, and { $came } came. On { $inside } of { $count } days it lay in the band; four in five are meant to.
by-day = By day
day = Day
search = Find a farm
search-hint = 2071, or the beginning of a name
find = Find
number = Number
name = Name
at-stake = at stake
last-entry = Last entry
farms-none = No farm of your wards is like that.
next-page = Next page
farms-more = There are more: type more of the name.
cages = Cages
thread = Messages
phones = Phones
stopped = wants no messages
enter-title = Enter for the member
enter-line = Line
enter-hint = As on the phone: C4 12.5, or C4 water
enter-send = Enter
care-done = Care done last
warning-seen = Ants or dead flies
cage-empty = Stands empty.
cage-run = Stocked { $stocked } with { $pupae } pupae, retire by { $retire }
mixed = mixed ages
lane-title = Cage { $cage }: expected and taken each day from stocking to retirement
care-bait = bait
care-water = water
care-moat = moat
care-traps = traps
care-shade = shade
care-swept = swept
unread-hint = Say what was meant: it is recorded for the day on which the message came, in your officer's name. The member is told.
no-member = not a member's phone
meant = What was meant
meant-send = Record it
lay-aside = Nothing to record
did-token-made = Token made
did-token-revoked = Token taken back
did-token-used = Token used that day
did-token-changed = Made or took back a token
tokens = Tokens of programs
tokens-hint = A program shows a token to read the records as JSON. It reads what its user may read, and ends with the user. The token itself is not kept: what is shown once cannot be shown again.
tokens-none = No program reads here.
token-about = What it is for
token-about-hint = such as: supply sheet in the office
token-made = Made
token-used = Last used
token-never = never
token-revoke = Take back
token-new = Another token
token-reads-figures = Reads figures, farms and cages
token-reads-all = Reads members, phones and messages too
token-wards-hint = None ticked: all wards that you see.
token-all-wards = All of yours
token-make = Make the token
token-shown-once = This is the token. Copy it now: it is not shown again.
token-how = A program sends it with every request:
month = Month
month-title = The month { $month } by ward
month-hint = A farm is active where it recorded a harvest in the month. Cages are stockings that ran on any day of it.
month-large = There are too many farms to sum them up while you wait. Take the sheet as a file; it may need some minutes.
month-members = members
month-active = active farms
month-cages = cages run
month-grams = eggs
month-delivered = received
month-before = the month before
month-change = change
show = Show
all-months = All months
export-title = Everything as it is recorded
export-hint = Files hold names, phone numbers and texts: keep them as you keep the paper books.
export-busy = Two files are being made just now. Try again in a minute.
export-failed = The file could not be made. A workbook holds 1,048,576 rows: take one month, or CSV.
sheet = Sheet
sheet-members = Members
sheet-cages = Cages
sheet-harvests = Harvests
sheet-care = Care and what was seen
sheet-deliveries = Deliveries
sheet-messages = Messages
form = Form
form-csv = CSV, for any spreadsheet
form-xlsx = XLSX, a workbook
form-ndjson = NDJSON, for programs
take = Take the file
print-hint = Sheets of A4. Print them from the browser at 100 %, without fitting to the page. What is printed for members is in their own language.
print-what = What
print-labels = Cage labels
print-cards = Pocket cards
print-wall = Wall sheets of a month
print-member = One member
print-member-hint = Number; left empty: everybody of the ward
print-codes = Labels of these cages
print-codes-hint = C1-C6 D2; left empty: the cages in use
print-month = Month
print-month-hint = For wall sheets
print-make = Make the sheets
print-trouble-codes = Expected codes of cages of one member, at the most 36, such as C1-C6 D2.
print-trouble-month = Expected a month such as 2026-03.
print-trouble-member = There is no such member in your wards.
print-other = Other sheets
print-none = There is nothing to print: no cage is in use there.
print-sheets =
    { $n ->
        [one] One sheet. Print it at 100 %.
       *[other] { $n } sheets. Print them at 100 %.
    }
print-next = Next sheets
print-for = Print labels, a card or a wall sheet
visits = Visits and calls
visits-none = None has been noted.
visit-note = Note a visit or a call
visit-how = How
touch-visit = Visit
touch-call = Call
visit-seen = Seen or heard
visit-done = Done
visit-next = To follow up
visit-next-by = By
follow-up-by = To follow up by { $day }: { $what }
follow-up-done = Followed up
follow-ups-title = To follow up today
due-more = And { $n } more.
mark-called = Called
mark-resolved = Resolved
mark-snoozed = Not now
mark-until = Back on
mark-back = Bring back
resting-title =
    { $n ->
        [one] One farm rests
       *[other] { $n } farms rest
    }
resting-until = { $how } by { $by }, back { $day }
permits = Permits
permits-coop = Permits of the cooperative
permits-title = Permits about to lapse
permits-hint = Only a reminder of the day on the paper. Which permits are needed, and what they ask, the local authority says.
permits-none = None is on record.
permit-kind = Permit
permit-kind-hint = As the paper calls it
permit-until = Holds until
permit-left = Left
permit-days =
    { $days ->
        [0] last day today
        [one] one day
       *[other] { $days } days
    }
permit-lapsed =
    { $days ->
        [one] lapsed yesterday
       *[other] lapsed { $days } days ago
    }
permit-add = Add or renew a permit
permit-drop = Drop
keep-empty = Write what was seen or done, such as: water dry in C3.
keep-day = A visit is of today or before; what is to be followed up has a day from then on and a word what for.
keep-rest = A row rests until a day from tomorrow on, 60 days at the most.
keep-permit = A permit has a kind and a number of at the most 60 letters, such as: feed premises, FP 114.
keep-too-many = There are 20 permits already. Drop one that has lapsed.
keep-gone = It is not there any more.
nav-deliveries = Deliveries
deliveries-hint = What the collector weighed beside what the farm had weighed since its delivery before. A difference of more than a tenth and 5 g stands out: ask both.
deliveries-none = Nothing was received in this month.
deliveries-filling = The list is still being made from the record and is not whole: come back in a minute before you pay from it.
delivery-days = Days
received = Received
own-weighed = Farm weighed
difference = Difference
without-own =
    { $n ->
        [one] one day without the farm's weight
       *[other] { $n } days without the farm's weight
    }
pay-sheet = Pay sheet
sum = Sum
price-per-gram = Price of a gram
price-trouble = Expected a price such as 12 or 0.35, with a point and at the most four decimals.
count = Count
received-by = Received by
amount = Amount
pay-weighed = The farm's own weights in this month: { $grams }.
pay-paid = Paid by
pay-got = Received by
pay-day = Day
promise-set = Enter a promise
promise-weekly = Grams a week
promise-hint = 4500, or 4500.5; 0 ends a promise
promise-from = From
promise-trouble = Expected grams such as 4500 or 4500.5, without a comma, and a day.
promised = Promised a day
promised-14-days = promised in the next 14 days
cast-hint = One text to many members. It never goes to those who want no texts, also when they say so after it was planned.
cast-sent = Planned and sent
cast-none = None yet.
cast-write = Text
cast-to = To
cast-own-wards = All your wards
cast-any-lang = Any
cast-silent = Silent for so many days
cast-silent-hint = Left empty: all
cast-silent-told =
    { $days ->
        [one] silent for a day
       *[other] silent for { $days } days
    }
cast-laying = Only with cages that lay
cast-day = Day
cast-day-hint = Day and hour left empty: now
cast-hour = Hour
cast-look = Look at it first
cast-title = Look at it first
cast-people = people
cast-parts = parts each
cast-all-parts = parts in all
cast-cost = cost
cast-no-price = The settings hold no price per part for a link that is needed.
cast-long = It is more than one part: each part is paid for, and some phones show them apart. One part is 160 plain letters, or 70 where a letter is not plain.
cast-left-out =
    { $n ->
        [0] Everybody who is like that wants texts.
        [one] One person more is like that but wants no texts or has no phone.
       *[other] { $n } people more are like that but want no texts or have no phone.
    }
cast-pace =
    { $minutes ->
        [one] It takes about a minute. Texts go out between { $from } and { $to } o'clock only.
       *[other] It takes about { $minutes } minutes. Texts go out between { $from } and { $to } o'clock only.
    }
cast-send =
    { $n ->
        [one] Send to one person
       *[other] Send to { $n } people
    }
cast-change = Change it
cast-stop = Stop
cast-waits = Waits
cast-runs = Runs
cast-finished = Finished
cast-stopped = Stopped
cast-counts = { $texts } of { $people } texts, { $left } left out
cast-text = Expected a text of at the most 459 letters.
cast-due = Expected a time from now on, 60 days ahead at the most.
cast-too-many = Twenty texts to many wait or run already. Stop one first.
cast-nobody = Nobody is like that who wants texts.
cast-over = It is over already.

# Words that the cooperative teaches.
refused-wards = This holds for the whole cooperative, and you see some of its wards only. Ask who sees all of them.
teach-title = Teach a word
teach-hint = A word of your own for one of the keywords. It is tried against every message that came in: where an old one would read otherwise, it is not taken.
words-title = The cooperative's words
words-own = Words that hold
words-none = No word has been taught yet.
word = Word
word-means = Means
word-lang = Language
word-by = Taught by
word-try = Try it
word-teach = Switch it on
word-let-go = Take back
word-taught = “{ $word }” is read from now on.
word-gone = “{ $word }” is not read any more. What it recorded stays.
word-try-title = “{ $word }” for { $means }
word-none = Expected one word of 3 to 20 letters without accents, such as nyunyiza, but found “{ $word }”.
word-known = “{ $word }” means this already.
word-clash = “{ $word }” has a meaning already. Teach another word.
word-no-keyword = Expected a keyword such as bait, but found “{ $word }”.
word-too-many = There are as many words as there may be.
word-not-taught = “{ $word }” is none of the cooperative's words.
trial-tried =
    { $n ->
        [one] Tried against the one message received.
       *[other] Tried against { $n } messages received.
    }
trial-changed =
    { $n ->
        [one] One message would read otherwise than it did, so this word cannot be taught.
       *[other] { $n } messages would read otherwise than they did, so this word cannot be taught.
    }
trial-none-changed = Every message keeps the meaning that it had.
trial-gained =
    { $n ->
        [one] In one message more could have been read
       *[other] In { $n } messages more could have been read
    }
trial-gained-hint = They stay as they are. Say what they meant on the page of unreadable messages, where it is still to be recorded.
was-read = Was read
would-read = Would read

# Members.
saved = Saved.
find-member = Find a member
find-member-hint = 2071, +255700000101, or the beginning of a name
members-none = No member of your wards is like that.
no-phone = No phone
member-new = New member
member-add = Add
member-added = Added. Note now whether and how they agreed that texts are sent and records kept.
phones-hint = With the country's code; several with commas
number-hint = Empty: the next free one
number-wrong = Expected a member's number such as 2071, or nothing for the next free one.
phone-wrong = Expected a number with the country's code such as +255700000101, but found “{ $found }”.
consent-later = After adding, note on the member's page whether they agreed.
ward-not-yours = This ward is none of yours.
member-not-yours = This member is not in your wards.
role-not-yours = Only a manager makes collectors and officers.
member-keeper = Keeper
member-collector = Collector: receives and weighs eggs
member-officer = Officer: enters for others
role-hint = An officer may enter for every member by text.
member-hour = Hour of reminders
member-change = Change
opt-out = Texts
sent-to = gets texts
to-farm = Farm and messages
phone = Phone
serves-too = Speaks for too
phone-cut = Cut off
phone-add = Another phone
phone-add-hint = A new SIM, a neighbour's phone, or one that was cut off before
phone-link = Link it
consent = Consent
consent-none = Nothing is recorded. Ask, and note the answer here.
consent-given = Given on { $day }: { $how }.
consent-withdrawn = Withdrawn on { $day }: { $how }.
consent-own-message = by their own text to join
consent-signed = signed on paper
consent-spoken = said in person
consent-called = said on the phone
consent-what = The member
consent-gave = agreed that texts are sent and records kept
consent-withdrew = withdrew it
consent-how = How
consent-hint = Who withdraws is sent nothing more. The paper stays with the cooperative.
consent-note = Note it
consent-wrong = Expected how it was said, and a day that has been.
member-history = What happened
history-how = How
by-message = own text
by-office = the office
happened-joined = Joined
happened-named = Name
happened-lang = Language
happened-role = Role
happened-ward = Ward
happened-phone-added = Phone linked
happened-phone-cut = Phone cut off
happened-erased = Taken out of the record
pin = PIN
pin-none = No PIN: who has the phone may ask for the data and have them erased.
pin-there = There is a PIN. It is asked for before the data are shown or erased.
pin-locked = PIN locked until { $until }: too many wrong ones
pin-hint = End it only when you know that it is the member who asks: call them back, or see them.
pin-end = End the PIN
happened-pin-set = PIN set
happened-pin-ended = PIN ended
happened-pin-wrong = Wrong PIN
happened-pin-right = Right PIN after wrong ones
happened-pin-locked = PIN locked until
happened-stopped = Wants no texts
happened-started = Wants texts again
happened-questions-only = Questions and warnings only
happened-copies = Copies of what is entered by menu
happened-consent = Agreed
happened-no-consent = Withdrew consent
book-title = From a paper book
import-title = Members from a file
import-hint = A CSV file or an .xlsx workbook, one member a row. First you see what would change; nothing is changed before you say so.
import-columns = Columns: member, name, role, lang, ward, phones. A row names a member by number or by a phone; one that names nobody known is a new member.
import-file = File
import-look = See what would change
import-no-file = No file came with the form: choose one.
import-gone = This file has waited too long. Choose it again.
import-moved = The records have changed meanwhile: look at it again.
import-would = { $added } new, { $changed } changed, { $same } as they stand, { $refused } refused.
import-done = Brought in: { $added } new, { $changed } changed. { $same } stood so already, { $refused } were refused.
import-apply = Bring them in
import-other = Another file
import-who = Who
import-fate = What happens
import-new = New member
import-refused = refused
import-more = And { $n } rows more.
row = Row
ward-add = New ward
ward-rename = Rename
ward-new-name = New name
ward-rename-hint = Members, thermometer, what finished cages taught and the users held to the ward go with its name. Those users sign in again.
book-hint = One line a row, as on the phone, with its day: C4 12.5, or C4 water. Empty rows are passed over. First look; nothing is saved before you say so. The member gets a text of each saved line.
book-looked = So each line would be answered. Nothing is saved yet.
book-look = Look
book-save = Save these lines
book-saved = Saved, each line as if it had been texted.
book-asked-hint = What is asked waits for an answer on the farm's page.
book-more = Next page of the book
book-long = This line is too long: make two of it.
book-no-day = Expected a day such as 2026-03-10.
book-future = This day has not been yet.
book-old = This day is too long ago: only the last 300 days can be told apart.
outcome-duplicate = stands already
outcome-asked = asked
outcome-partly = saved in part
outcome-unreadable = not understood
outcome-refused = refused
outcome-saved = saved
outcome-answered = answered

# Settings.
settings-rules = Rules
settings-model = Sums
settings-climate = Climate
settings-gateway = Gateway
settings-texts = Texts and days
settings-care = Care: due again after so many days
settings-thresholds = Thresholds
settings-look = See what it would do
settings-look-title = What this change would do
settings-same = Nothing differs from what stands.
settings-moved = Somebody has changed these settings meanwhile. Look at the difference again before you save.
settings-back = Back without saving
setting = Setting
setting-wrong = { $name }: expected a number from { $low } to { $high }.
value = Value
usual = Usual
bounds = From – to
source = Source
coop-name = Name of the cooperative
join-code = Code to join by text
check-letter = A cage's code must carry its check letter
zone-fixed = The time zone is { $zone }. It was chosen when the cooperative was founded and does not change.
rule-hour = Hour of reminders, where a farm has set none
rule-back-days = Days that a keeper may go back
rule-question-hours = Hours that a question stays open
rule-heat = Warned of heat from, °C
rule-cold = Warned of cold below, °C
rule-first-eggs = First eggs due after stocking, days
rule-retire = A cage is retired at the latest after, days
rule-pupa-mg = One pupa, mg
care-hint = An empty field: nobody is reminded of this job.
model-hint = Every number that the sums use, with its source. An empty field takes the gateway's value. “Choice” says that no published figure was found.
effect-title = Today
effect-today = What a day asks
effect-lists = Farms that get a morning list
effect-jobs = Jobs named on them
effect-warnings = Warnings
effect-ahead = Eggs expected in the next 14 days
effect-hint = Cages that lay already keep what they have taught; new ones follow the change wholly.
effect-farms = Counted over { $looked } of { $farms } farms. Nothing is changed yet.
climate-hint = Mean lowest and highest air of each month in °C, from a weather service or the ward's own thermometer. All fields empty: not known.
climate-wrong = Expected twelve months of lowest and highest air such as 18 and 29.5, or none at all.
whole-coop = The whole cooperative
months = January February March April May June July August September October November December
lowest = Lowest
highest = Highest
gateway-hint = Only the gateway's settings file or its environment sets these, prices per part among them; the key is what to look for there. Secrets are not shown.
gateway-none = This gateway runs without a settings file.
data-title = Data and erasure
data-hint = Everything that is kept of this member, a record a line: give it to them when they ask.
data-save = Save as a file
forget-title = Erase this member
forget-hint = Only when they ask for it. Name, phones and messages go for good, their cages end; weights stay without a name. Backups here follow by the next night; erase copies elsewhere yourself.
forget-unsure = Nothing was erased. Give a reason, and type the member's number.
forget-reason = Reason, without names
forget-number = The member's number, to be sure
forget-send = Erase for good
