# Maandishi ya chumba cha ushirika.
lang-own-name = Kiswahili
room = clutchline
skip = Nenda kwenye ukurasa
nav-label = Kurasa
nav-today = Leo
nav-supply = Mavuno
nav-farms = Mashamba
nav-unreadable = Hazisomeki
nav-members = Wanachama
nav-print = Chapisha
nav-broadcast = Tangazo
nav-export = Toa rekodi
nav-settings = Mipangilio
nav-audit = Watumiaji na historia
lang-label = Lugha
sign-in = Ingia
sign-out = Ondoka
user = Mtumiaji
password = Nenosiri
code = Namba ya pili
code-hint = Pale tu ulipowekewa
sign-in-wrong = Jina, nenosiri au namba haifai. Jaribu tena, au mwombe meneja nenosiri jipya.
sign-in-wait =
    { $minutes ->
        [one] Nenosiri limekosewa mara nyingi. Jaribu tena baada ya dakika moja.
       *[other] Nenosiri limekosewa mara nyingi. Jaribu tena baada ya dakika { $minutes }.
    }
account = Akaunti yako
role = Kazi
role-viewer = Msomaji: anasoma tu
role-officer = Afisa: anaandika na kusahihisha kwa ajili ya wanachama
role-manager = Meneja: mipangilio na watumiaji pia
wards = Kata
all-wards = Kata zote
enters-as = Anaandika kwa ajili ya wengine kama mwanachama
enters-as-nobody = Bado hakuna. Meneja anataja afisa kati ya wanachama: clutchline user role JINA officer --member NAMBA
second-factor = Namba ya pili
yes = Ndiyo
no = Hapana
new-password = Nenosiri jipya
password-now = Nenosiri la sasa
password-wrong = Nenosiri la sasa silo hili.
password-short = Nenosiri lina herufi { $least } au zaidi, kwa mfano maneno manne yasiyohusiana.
save = Hifadhi
users = Watumiaji
users-hint = Watumiaji huongezwa na kufungwa kwenye kompyuta ya mfumo: clutchline user add JINA --role officer
closed = Amefungwa
trail = Nani alifanya nini
when = Lini
what = Nini
member = Mwanachama
before = Kabla
after = Baada
did-user-added = Mtumiaji ameongezwa
did-password-set = Nenosiri limewekwa
did-power-set = Kazi imewekwa
did-wards-set = Kata zimewekwa
did-member-set = Afisa amewekwa
did-lang-set = Lugha imewekwa
did-totp-set = Namba ya pili imewekwa
did-closed = Mtumiaji amefungwa
did-signed-in = Ameingia
did-entered = Ameandika kwa ajili ya mwanachama
did-interpreted = Amesema maana ya ujumbe
did-laid-aside = Ameweka ujumbe kando
did-taught = Amefundisha neno
did-user-changed = Amebadilisha mtumiaji
did-member-changed = Amebadilisha mwanachama
did-imported = Ameingiza wanachama
did-printed = Amechapisha
did-exported = Ametoa rekodi
did-broadcast = Ametuma kwa wengi
did-settings-changed = Amebadilisha mipangilio
did-visited = Ameandika ziara
refused-title = Haikufanikiwa
refused-sign-in = Ingia kwanza.
refused-not-allowed = Kazi yako haifiki ukurasa huu. Meneja anaweza kubadilisha.
refused-not-found = Hakuna ukurasa kama huo, au si wa kata zako.
refused-method = Ukurasa huu unapokea ombi la aina nyingine.
refused-form = Fomu hii ilikaa wazi muda mrefu, au si yetu. Rudi, fungua ukurasa upya na utume tena.
refused-body = Fomu au faili hii ni kubwa mno kusomeka.
refused-counter = Rekodi hazifikiki kwa sasa. Hakuna kilichobadilika. Jaribu tena baada ya dakika moja.
go-home = Nenda Leo
weekdays = Jtt Jnn Jtn Alh Iju Jms Jpl
farms = mashamba
cages-running = vizimba vinavyotumika
last-7-days = yaliyovunwa siku 7 zilizopita
next-7-days = yanayotarajiwa siku 7 zijazo
next-14-days = yanayotarajiwa siku 14 zijazo
middle = katikati: huenda zaidi au pungufu sawasawa
needs-title = Mashamba yanayohitaji mtu
needs-hint = Yenye mayai mengi hatarini kwanza: yaliyotarajiwa wiki hii yasije, na yatakayopotea wiki ijayo kama hakuna kinachobadilika. Makadirio.
needs-none = Hakuna shamba lenye shida. Yaliyotarajiwa yamekuja.
stake-split = { $missing } hayakuja wiki hii, { $ahead } wiki ijayo
asked-title = Maswali yanayosubiri jibu
questions-open =
    { $n ->
        [one] swali moja wazi
       *[other] maswali { $n } wazi
    }
unread-title = Ujumbe usiosomeka
unread-none = Kila ujumbe umesomwa.
unread-all = Ujumbe wote usiosomeka
last-message = Ujumbe wa mwisho,
reason-missing = { $cages } vimetoa { $grams } pungufu ya matarajio siku 7 zilizopita.
reason-silent = Hakuna kilichoandikwa kwa siku { $days }.
reason-never = Bado hakuna kilichoandikwa.
look-water = Angalia maji kwanza.
look-bait = Angalia chambo kwanza.
look-heat = Kulikuwa na joto: angalia kivuli kwanza.
look-ants = Siafu walionekana: angalia mitaro kwanza.
band-hint = Mara nne kati ya tano yatakuwa kati ya namba hizi mbili. Kwa vizimba vilivyopo sasa; vipya vitaongeza.
supply-chart = Mayai yaliyovunwa kila siku, na yanayotarajiwa
taken = Yaliyovunwa
expected-band = Yanayotarajiwa, mara nne kati ya tano
was-expected = Yaliyotarajiwa wiki mbili zilizopita
by-ward = Kwa kata
ward = Kata
no-ward = Bila kata
looked-back = Utabiri uliopita ulikuwa mzuri kiasi gani
looked-back-none = Bado haiwezi kusemwa: hakukuwa na kizimba wiki mbili zilizopita.
looked-back-told = Wiki mbili zilizopita { $expected } yalitarajiwa kwa vizimba vya wakati huo, na { $came } yalikuja. Siku { $inside } kati ya { $count } yalikuwa ndani ya makadirio; nne kati ya tano zinatakiwa.
by-day = Kwa siku
day = Siku
search = Tafuta shamba
search-hint = 2071, au mwanzo wa jina
find = Tafuta
number = Namba
name = Jina
at-stake = hatarini
last-entry = Rekodi ya mwisho
farms-none = Hakuna shamba kama hilo katika kata zako.
next-page = Ukurasa unaofuata
farms-more = Yapo zaidi: andika zaidi ya jina.
cages = Vizimba
thread = Ujumbe
phones = Simu
stopped = hataki ujumbe
enter-title = Andika kwa ajili ya mwanachama
enter-line = Mstari
enter-hint = Kama kwenye simu: C4 12.5, au C4 maji
enter-send = Andika
care-done = Huduma ya mwisho
warning-seen = Siafu au nzi waliokufa
cage-empty = Kiko tupu.
cage-run = Kiliwekwa { $stocked } na mabuu { $pupae }, kiondolewe ifikapo { $retire }
mixed = umri mchanganyiko
lane-title = Kizimba { $cage }: yaliyotarajiwa na yaliyovunwa kila siku
care-bait = chambo
care-water = maji
care-moat = mtaro
care-traps = mitego
care-shade = kivuli
care-swept = kufagia
unread-hint = Sema maana yake: itarekodiwa kwa siku ujumbe ulipokuja, kwa jina la afisa wako. Mwanachama ataambiwa.
no-member = si simu ya mwanachama
meant = Maana yake
meant-send = Rekodi
lay-aside = Hakuna cha kurekodi
did-token-made = Tokeni imetengenezwa
did-token-revoked = Tokeni imefutwa
did-token-used = Tokeni imetumika siku hiyo
did-token-changed = Alitengeneza au kufuta tokeni
tokens = Tokeni za programu
tokens-hint = Programu huonyesha tokeni ili kusoma kumbukumbu kama JSON. Inasoma anachoweza kusoma mtumiaji wake, na huisha pamoja naye. Tokeni yenyewe haihifadhiwi: inaonyeshwa mara moja tu.
tokens-none = Hakuna programu inayosoma hapa.
token-about = Ni ya nini
token-about-hint = kama: jedwali la mayai ofisini
token-made = Ilitengenezwa
token-used = Ilitumika mwisho
token-never = bado
token-revoke = Futa
token-new = Tokeni nyingine
token-reads-figures = Inasoma takwimu, mashamba na vizimba
token-reads-all = Inasoma wanachama, simu na ujumbe pia
token-wards-hint = Usipochagua: kata zote unazoziona.
token-all-wards = Zako zote
token-make = Tengeneza tokeni
token-shown-once = Hii ndiyo tokeni. Inakili sasa: haitaonyeshwa tena.
token-how = Programu huituma kwa kila ombi:
month = Mwezi
month-title = Mwezi { $month } kwa kata
month-hint = Shamba ni hai likiwa na mavuno mwezi huo. Vizimba ni vile vilivyofanya kazi siku yoyote ya mwezi.
month-large = Mashamba ni mengi mno kujumlisha ukisubiri. Chukua jedwali kama faili; huenda ikachukua dakika kadhaa.
month-members = wanachama
month-active = mashamba hai
month-cages = vizimba
month-grams = mayai
month-delivered = yaliyopokelewa
month-before = mwezi uliopita
month-change = badiliko
show = Onyesha
all-months = Miezi yote
export-title = Kila kitu kama kilivyoandikwa
export-hint = Faili zina majina, namba za simu na ujumbe: zitunze kama vitabu vya karatasi.
export-busy = Faili mbili zinatengenezwa sasa. Jaribu tena baada ya dakika moja.
export-failed = Faili haikuweza kutengenezwa. Kitabu cha XLSX kina mistari 1,048,576: chukua mwezi mmoja, au CSV.
sheet = Jedwali
sheet-members = Wanachama
sheet-cages = Vizimba
sheet-harvests = Mavuno
sheet-care = Matunzo na yaliyoonekana
sheet-deliveries = Mayai yaliyopokelewa
sheet-messages = Ujumbe
form = Aina
form-csv = CSV, kwa lahajedwali yoyote
form-xlsx = XLSX, kitabu cha lahajedwali
form-ndjson = NDJSON, kwa programu
take = Chukua faili
print-hint = Karatasi za A4. Chapisha kutoka kwenye kivinjari kwa 100 %, bila kupunguza. Vinavyochapishwa kwa wanachama viko katika lugha yao.
print-what = Nini
print-labels = Vibandiko vya vizimba
print-cards = Kadi za mfukoni
print-wall = Karatasi za ukutani za mwezi
print-member = Mwanachama mmoja
print-member-hint = Namba; ukiacha wazi: wote wa kata
print-codes = Vibandiko vya vizimba hivi
print-codes-hint = C1-C6 D2; ukiacha wazi: vizimba vinavyotumika
print-month = Mwezi
print-month-hint = Kwa karatasi za ukutani
print-make = Tengeneza karatasi
print-trouble-codes = Andika namba za vizimba vya mwanachama mmoja, visizidi 36, kama C1-C6 D2.
print-trouble-month = Andika mwezi kama 2026-03.
print-trouble-member = Hakuna mwanachama huyo katika kata zako.
print-none = Hakuna cha kuchapisha: hakuna kizimba kinachotumika.
print-sheets =
    { $n ->
        [one] Karatasi moja. Chapisha kwa 100 %.
       *[other] Karatasi { $n }. Chapisha kwa 100 %.
    }
print-next = Karatasi zinazofuata
print-for = Chapisha vibandiko, kadi au karatasi ya ukutani
visits = Ziara na simu
visits-none = Hakuna iliyoandikwa.
visit-note = Andika ziara au simu
visit-how = Namna
touch-visit = Ziara
touch-call = Simu
visit-seen = Kilichoonekana au kusikika
visit-done = Kilichofanyika
visit-next = Cha kufuatilia
visit-next-by = Kufikia
follow-up-by = Kufuatilia kufikia { $day }: { $what }
follow-up-done = Imefuatiliwa
follow-ups-title = Ya kufuatilia leo
due-more = Na mengine { $n }.
mark-called = Amepigiwa
mark-resolved = Imetatuliwa
mark-snoozed = Si sasa
mark-until = Irudi
mark-back = Rudisha
resting-title =
    { $n ->
        [one] Shamba moja linasubiri
       *[other] Mashamba { $n } yanasubiri
    }
resting-until = { $how } na { $by }, itarudi { $day }
permits = Vibali
permits-coop = Vibali vya ushirika
permits-title = Vibali vinavyokaribia kuisha
permits-hint = Ni ukumbusho tu wa siku iliyo kwenye karatasi. Vibali gani vinahitajika, na masharti yake, husema mamlaka ya mahali.
permits-none = Hakuna kilichoandikwa.
permit-kind = Kibali
permit-kind-hint = Kama karatasi inavyokiita
permit-until = Mwisho wake
permit-left = Kimebaki
permit-days =
    { $days ->
        [0] mwisho ni leo
        [one] siku moja
       *[other] siku { $days }
    }
permit-lapsed =
    { $days ->
        [one] kiliisha jana
       *[other] kiliisha siku { $days } zilizopita
    }
permit-add = Ongeza au huisha kibali
permit-drop = Ondoa
keep-empty = Andika kilichoonekana au kufanyika, kama: maji yamekauka C3.
keep-day = Ziara ni ya leo au kabla; cha kufuatilia kina siku kuanzia hapo na maelezo.
keep-rest = Shamba husubiri hadi siku kuanzia kesho, zisizidi 60.
keep-permit = Kibali kina jina na namba zisizozidi herufi 60, kama: eneo la chakula, FP 114.
keep-too-many = Kuna vibali 20 tayari. Ondoa kilichoisha.
keep-gone = Hakipo tena.
nav-deliveries = Makabidhiano
deliveries-hint = Alichopima mkusanyaji kando ya ulichopima shamba tangu makabidhiano yaliyotangulia. Tofauti ya zaidi ya sehemu ya kumi na 5 g huonyeshwa wazi: waulize wote wawili.
deliveries-none = Hakuna kilichopokelewa mwezi huu.
delivery-days = Siku
received = Kilichopokelewa
own-weighed = Shamba lilipima
difference = Tofauti
without-own =
    { $n ->
        [one] siku moja bila uzito wa shamba
       *[other] siku { $n } bila uzito wa shamba
    }
pay-sheet = Karatasi ya malipo
sum = Jumla
price-per-gram = Bei ya gramu
price-trouble = Andika bei kama 12 au 0.35, kwa nukta na desimali zisizozidi nne.
count = Hesabu
received-by = Amepokea
amount = Kiasi
pay-weighed = Uzito wa shamba lenyewe mwezi huu: { $grams }.
pay-paid = Amelipa
pay-got = Amepokea
pay-day = Siku
promise-set = Andika ahadi
promise-weekly = Gramu kwa wiki
promise-hint = 4500, au 4500.5; 0 humaliza ahadi
promise-from = Kuanzia
promise-trouble = Andika gramu kama 4500 au 4500.5, bila mkato, na siku.
promised = Ahadi kwa siku
promised-14-days = ahadi ya siku 14 zijazo
cast-hint = Ujumbe mmoja kwa wanachama wengi. Hauendi kamwe kwa wasiotaka ujumbe, hata wakisema hivyo baada ya kupangwa.
cast-sent = Zilizopangwa na kutumwa
cast-none = Bado hakuna.
cast-write = Ujumbe
cast-to = Kwa
cast-own-wards = Kata zako zote
cast-any-lang = Yoyote
cast-silent = Kimya kwa siku
cast-silent-hint = Ukiacha wazi: wote
cast-silent-told =
    { $days ->
        [one] kimya kwa siku moja
       *[other] kimya kwa siku { $days }
    }
cast-laying = Wenye vizimba vinavyotaga tu
cast-day = Siku
cast-day-hint = Ukiacha siku na saa wazi: sasa
cast-hour = Saa
cast-look = Tazama kwanza
cast-title = Tazama kwanza
cast-people = watu
cast-parts = sehemu kwa kila mmoja
cast-all-parts = sehemu zote
cast-cost = gharama
cast-no-price = Mipangilio haina bei ya sehemu kwa njia inayohitajika.
cast-long = Ni zaidi ya sehemu moja: kila sehemu hulipiwa, na simu nyingine huzionyesha mbalimbali. Sehemu moja ni herufi 160 za kawaida, au 70 ikiwa herufi moja si ya kawaida.
cast-left-out =
    { $n ->
        [0] Wote walio hivyo wanataka ujumbe.
        [one] Mtu mmoja zaidi yuko hivyo lakini hataki ujumbe au hana simu.
       *[other] Watu { $n } zaidi wako hivyo lakini hawataki ujumbe au hawana simu.
    }
cast-pace =
    { $minutes ->
        [one] Huchukua kama dakika moja. Ujumbe hutoka kati ya saa { $from }:00 na { $to }:00 tu.
       *[other] Huchukua kama dakika { $minutes }. Ujumbe hutoka kati ya saa { $from }:00 na { $to }:00 tu.
    }
cast-send =
    { $n ->
        [one] Tuma kwa mtu mmoja
       *[other] Tuma kwa watu { $n }
    }
cast-change = Badilisha
cast-stop = Simamisha
cast-waits = Unasubiri
cast-runs = Unaendelea
cast-finished = Umekwisha
cast-stopped = Umesimamishwa
cast-counts = ujumbe { $texts } kati ya { $people }, { $left } wameachwa
cast-text = Andika ujumbe usiozidi herufi 459.
cast-due = Andika muda kuanzia sasa, usiozidi siku 60 mbele.
cast-too-many = Matangazo ishirini yanasubiri au yanaendelea tayari. Simamisha moja kwanza.
cast-nobody = Hakuna aliye hivyo anayetaka ujumbe.
cast-over = Umekwisha tayari.

# Maneno yanayofundishwa na ushirika.
refused-wards = Hili ni la ushirika mzima, na wewe unaona baadhi ya kata tu. Muulize anayeona zote.
teach-title = Fundisha neno
teach-hint = Neno lenu kwa mojawapo ya maneno ya amri. Linajaribiwa kwa kila ujumbe uliokuja: kama ujumbe wa zamani ungesomeka vingine, halikubaliwi.
words-title = Maneno ya ushirika
words-own = Maneno yanayotumika
words-none = Hakuna neno lililofundishwa bado.
word = Neno
word-means = Maana
word-lang = Lugha
word-by = Aliyefundisha
word-try = Jaribu
word-teach = Washa
word-let-go = Ondoa
word-taught = “{ $word }” linasomwa kuanzia sasa.
word-gone = “{ $word }” halisomwi tena. Lililorekodiwa linabaki.
word-try-title = “{ $word }” kwa { $means }
word-none = Neno moja la herufi 3 hadi 20 lilitarajiwa, kama nyunyiza, lakini imepatikana “{ $word }”.
word-known = “{ $word }” lina maana hii tayari.
word-clash = “{ $word }” lina maana tayari. Fundisha neno lingine.
word-no-keyword = Neno la amri kama chambo lilitarajiwa, lakini imepatikana “{ $word }”.
word-too-many = Maneno yamefikia kikomo.
word-not-taught = “{ $word }” si neno la ushirika.
trial-tried = Limejaribiwa kwa ujumbe { $n } uliokuja.
trial-changed = Ujumbe { $n } ungesomeka vingine kuliko ulivyosomwa, kwa hiyo neno hili haliwezi kufundishwa.
trial-none-changed = Kila ujumbe unabaki na maana yake.
trial-gained = Katika ujumbe { $n } zaidi kungeweza kusomwa
trial-gained-hint = Unabaki ulivyo. Sema maana yake kwenye ukurasa wa ujumbe usiosomeka, kama bado ni wa kurekodiwa.
was-read = Ulisomwa
would-read = Ungesomwa
