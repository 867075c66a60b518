# Kila maandishi ya menyu, kwa Kiswahili. Msemaji wa asili bado hajakagua.
# Only letters of the GSM 7-bit alphabet.

title = { $name }: { $left ->
    [0] hakuna cha kupima sasa
    [one] kizimba 1 cha kupima
   *[other] vizimba { $left } vya kupima
  }
more = Zaidi
back = Rudi
first = Mwanzo
save = Hifadhi
other-day = Siku nyingine
choose = { $what }: chagua
not-valid = Haiwezekani hapa.
weigh = { $unit }: mayai kwa gramu, kama 12.5
weigh-how = 000 hakuna mayai
weigh-next = 000 hakuna mayai, # kijacho
round-done = Vizimba vyote vimekamilika. Asante.
round-none = Hakuna kizimba cha kupima leo.
sure = { $line }: ni sahihi?
days-back = Siku ngapi nyuma? 1 ni jana.
on-day = { $line }, { $days ->
    [one] jana
   *[other] siku { $days } zilizopita
  }
all = Vyote
new-cage = Kizimba kipya
new-cage-number = Namba ya kizimba kipya?
which-cage = Kizimba kipi?
no-cage = Hakuna kizimba kinachofaa.
by-count = Pupa kwa idadi
by-weight = Pupa kwa uzito
type-count = { $what }: pupa wangapi?
type-pupae-weight = { $what }: pupa gramu ngapi?
one-age = Umri mmoja
mixed = Mchanganyiko
mixed-word = mchanganyiko
type-dead = { $what }: nzi waliokufa, gramu? # kama haikupimwa
type-coldest = Joto la chini la siku, C?
type-hottest = Joto la juu la siku, C?
type-plan = Gramu za mayai kwa wiki? # kama sasa
type-days = Bila vikumbusho siku ngapi?
type-hour = Vikumbusho saa ngapi, 1 hadi 23?
type-pin = Siri: tarakimu zake
type-member = Namba ya mwanachama?
type-got = Kutoka { $what }: gramu ngapi?
type-weight = { $what }: mayai kwa gramu, kama 12.5?
yes = Ndiyo
no = Hapana
replace = Badilisha
keep = Acha
add = Ongeza
go-on = Uendelee ulipoishia?
go-on-yes = Endelea
go-on-no = Anza upya
whose = Shamba la nani?
stranger = Namba hii bado si mwanachama.
join-code = Msimbo wa ushirika wako?
join-name = Jina lako?
copy-on = Washa nakala za SMS
copy-off = Zima nakala za SMS
copy-is-on = Unachohifadhi hapa huja pia kwa SMS.
copy-is-off = Unachohifadhi hapa hakiji kwa SMS.
cage-state = Hali ya kizimba
week-sum = Mayai ya wiki
done = Tayari.
bye = Kwaheri.
busy = Kuna shughuli nyingi, piga tena baadaye.

group-care = Kazi zilizofanywa
group-cages = Vizimba
group-seen = Nilichoona
group-reminders = Vikumbusho
group-messages = Ujumbe

item-eggs = Mayai
item-stock = Weka pupa
item-bait = Chambo
item-water = Maji
item-moat = Mtaro
item-traps = Mitego
item-shade = Kivuli
item-swept = Fagia
item-dead = Nzi waliokufa
item-ants = Chungu
item-temp = Joto
item-retire = Ondoa kizimba
item-tasks = Kazi za leo
item-fix = Sahihisha uzito
item-undo = Futa la mwisho
item-add = Mavuno ya pili
item-yes = Jibu swali
item-no = Hapana
item-for = Andikia mwanachama
item-join = Jiunga
item-lang = Lugha
item-stop = Zima ujumbe
item-start = Washa ujumbe
item-data = Taarifa zangu
item-forget = Nisahau
item-help = Msaada
item-plan = Mpango
item-away = Sipo
item-back = Nimerudi
item-hour = Saa
item-lessons = Masomo
item-pin = Siri
item-got = Mayai yamepokelewa
