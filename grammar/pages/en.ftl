# Texts of the cooperative's room.
lang-own-name = English
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
enters-as = Enters for others as member
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
needs-none = No farm stands out. What was expected came, within what the model can tell.
stake-split = { $missing } missing this week, { $ahead } next week
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
