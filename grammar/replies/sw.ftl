# Kila ujumbe ambao mwanachama anausoma, kwa Kiswahili.
#
# Every text that a member reads, in Kiswahili; a native speaker has still to check it. The rules are those of en.ftl.

## What was recorded.

saved = Imehifadhiwa: { $items }.
saved-for = Imehifadhiwa ya { $day }: { $items }.
already = Ilihifadhiwa tayari: { $items }.
already-for = Ilihifadhiwa tayari, ya { $day }: { $items }.
corrected = Imesahihishwa: { $items }.
corrected-for = Imesahihishwa ya { $day }: { $items }.
taken-back = Imefutwa: { $items }.
taken-back-for = Imefutwa ya { $day }: { $items }.
more = +{ $n } zaidi
more-unsaved = +{ $n } bado.
on-day = { $fact } ({ $day })

fact-eggs = { $grams }
fact-eggs-weighed = { $grams } ({ $gross } - { $tare })
fact-added = +{ $grams } (jumla ya siku { $total })
fact-replaced = { $fact } (ilikuwa { $old })
fact-bait = chambo
fact-water = maji
fact-moat = mtaro
fact-traps = mitego
fact-shade = kivuli
fact-swept = imefagiwa
fact-stock = imewekwa pupa
fact-stock-count = imewekwa pupa { $count }
fact-stock-weight = imewekwa pupa { $weight }
fact-stock-both = imewekwa pupa { $weight } (kama { $count })
fact-mixed = umri mchanganyiko
fact-dead = nzi waliokufa
fact-dead-weighed = nzi waliokufa { $grams }
fact-ants = chungu
fact-temp = joto { $min } hadi { $max } C
fact-retired = imeondolewa
fact-delivered = yamepokelewa { $grams }
fact-delivered-own = yamepokelewa { $grams } (ya shamba { $own }, { $difference })

## Days.

today = leo
yesterday = jana
tomorrow = kesho
day-mon = Jtt { $date }
day-tue = Jnn { $date }
day-wed = Jtn { $date }
day-thu = Alh { $date }
day-fri = Ijm { $date }
day-sat = Jms { $date }
day-sun = Jpl { $date }

## Around a reply.

dust = Vaa barakoa: vumbi. Ukikosa pumzi, nenda kliniki.
bait-care = Vaa glavu kwa chambo, bila mabaki ya nyama; kisha nawa mikono.
undo-hint = "futa" huifuta.
for-member = Kwa { $member } { $name }:
entered-by = { $name } amekuandikia:
entered-by-someone = Afisa wako amekuandikia:
repaired = { $typed } imesomwa { $word }.

## Questions.

ask-other-weight = { $unit } ina { $old } ya { $day }. Sasa { $new }: "ndiyo" hubadilisha, "ongeza" hujumlisha, "hapana" huacha { $old }.
ask-add-again = { $unit }: { $grams } iliongezwa awali, { $day } ni { $total }. Uongeze { $grams } tena? "ndiyo" au "hapana".
ask-delivery = Umepokea { $grams } ({ $day })? Shamba liliandika { $own }. "ndiyo" huhifadhi { $grams }, au tuma uzito sahihi.
ask-delivery-again = { $day } tayari ina { $total } kutoka kwao. "ndiyo" huongeza { $grams }, "hapana" huacha.
ask-delivery-large = Umepokea { $grams } ({ $day }): ni sahihi? "ndiyo" huhifadhi, au tuma uzito sahihi.
ask-implausible = { $unit } { $said } ni zaidi ya inavyotarajiwa (hadi { $most }). Ni sahihi? "ndiyo" huhifadhi, au tuma uzito sahihi.
ask-implausible-likely = { $unit } { $said } ni zaidi ya inavyotarajiwa (hadi { $most }). Ni { $likely }? "ndiyo" huhifadhi { $likely }, au tuma uzito sahihi.
ask-implausible-low = { $unit } { $said } ni chini sana ya inavyotarajiwa. Ni { $likely }? "ndiyo" huhifadhi { $likely }, au tuma uzito sahihi.
ask-too-early = { $unit } iliwekwa pupa { $days ->
    [0] leo
    [one] siku 1 iliyopita
   *[other] siku { $days } zilizopita
  }: ni mapema kwa mayai. { $grams } ni sahihi? "ndiyo" huhifadhi, "hapana" huacha.
ask-not-stocked = { $unit } haina nzi, hivyo { $grams } haikuhifadhiwa. Ni kizimba kingine? Au tuma ilivyowekwa: "{ $unit } weka pupa 8000".
ask-restock = { $unit } inaendelea tangu { $since }. "ndiyo" humaliza hiyo na kuanza upya, "hapana" huiacha.
ask-restock-count = { $unit } inaendelea tangu { $since }. "ndiyo" humaliza hiyo na kuweka pupa { $count } upya, "hapana" huiacha.
ask-restock-today = { $unit } tayari imewekwa pupa leo. "ndiyo" hurekebisha, "hapana" huiacha.
ask-restock-today-count = { $unit } tayari imewekwa pupa leo. "ndiyo" hurekebisha ziwe pupa { $count }, "hapana" huiacha.
ask-stock-size = { $unit } pupa { $count }: ni sahihi? "ndiyo" huhifadhi, au tuma idadi sahihi.
ask-stock-size-likely = { $unit } pupa { $count }? Ni { $likely }? "ndiyo" huhifadhi { $likely }, au tuma idadi sahihi.
ask-which-unit = Kizimba kipi: { $units }? Tuma pamoja na kizimba, kama "{ $first } { $word }".
ask-which-unit-grams = { $grams } ni ya kizimba kipi: { $units }? Tuma kama "{ $first } { $grams }".
ask-whose = Shamba la nani: { $people }? Tuma tena, anza na "kwa { $first }".
ask-forget = Ufute jina, simu na ujumbe wako kabisa? Vizimba vyako huisha; uzito hubaki bila jina. "ndiyo" hufuta, "hapana" huacha.
ask-pin = Siri yako? Tuma tarakimu zake. Hakuna kinachoonyeshwa wala kufutwa kabla. "hapana" huacha. Mayai na kazi havihitaji siri.
ask-new-pin = Tuma siri unayotaka: tarakimu 4 hadi 6. Itaulizwa kabla taarifa zako kuonyeshwa au kufutwa. "hapana" huacha.

doubt-stuck-letter = { $text }: je, herufi ni ya kizimba? Acha nafasi baada ya kizimba.
doubt-stuck-number = { $text }: namba ya kizimba inaishia wapi? Acha nafasi baada yake.
doubt-two-numbers = { $text }: uzito mara mbili kwa kizimba kimoja.
doubt-split-decimal = { $text }: uzito mmoja au miwili? Tumia nukta, kama 12.5.
doubt-weight-for-many = { $text }: kila uzito na kizimba chake.
doubt-comma = { $text }: koma ni nukta au ni elfu?
doubt-too-fine = { $text }: namba mbili tu baada ya nukta.
doubt-tare-or-day = { $text }: mtego mtupu, au siku ya nyuma?
doubt-said-or-asked = { $text }: ni uzito, au ni swali?
doubt-check-letter = { $text }: herufi ya ukaguzi hailingani. Tazama tena kizimba.
doubt-unsure = { $text }: haikuhifadhiwa. Ikishafanyika kwa hakika, tuma bila maneno mengine.
doubt-stock = { $text }: pupa wapya?
doubt-same-as-yesterday = { $text }: yote ni sawa na ya jana. Ni ya leo?
doubt-clock-hour = { $text }: saa ipi? Hesabu 0 hadi 23, kama "hour 6".
doubt-new-cage = { $text } ni kizimba kipya hapa. Namba yake ni sahihi?
doubt-still-lays = { $text } bado inataga, au mayai yake bado. Iondolewe?
doubt-far-off = { $text }: ni mbali na kawaida ya hapa.
doubt-letter-missing = { $text }: ni uzito, au kizimba bila herufi?
doubt-twice = { $text }: kizimba kimoja mara mbili. Kulikuwa na kingine?
doubt-word = { $text }: neno moja si hakika.
doubt-day-word = { $text }: ni ya { $day }?
doubt-nothing = { $text }: hakuna mayai yaliyotolewa?
doubt-yes-line = "ndiyo" huhifadhi yote ya siku hiyo. Ni ya leo? Tuma bila neno hilo.
doubt-options = Ni { $options }?
doubt-yes = "ndiyo" huhifadhi { $item }, au tuma tena.
doubt-yes-all = "ndiyo" huhifadhi yote, au tuma ya leo.
doubt-again = Haikuhifadhiwa; tafadhali tuma tena.

## Not understood.

unread-words = Haikueleweka: { $words }.
unread-part = Sehemu haikueleweka.
unread-nothing = Asante. Hakuna cha kuhifadhi hapo; andika kama "{ $example }", au "msaada".
unread-example = Ilitarajiwa { $expected }, kama "{ $example }".
teach-number = Samahani, bado haijaeleweka. Mfano wa shamba lako: "{ $example }". Tuma hivyo, kwa namba yako, bila maneno mengine. Zaidi: "msaada".
teach-line = Samahani, bado haijaeleweka. Mfano wa shamba lako: "{ $example }". Tuma hivyo kazi ikiisha, bila maneno mengine. Zaidi: "msaada".
expect-cage-or-word = kizimba au neno
expect-weight-or-word = uzito au neno
expect-weight = uzito
expect-amount = idadi au uzito wa pupa
expect-two-temperatures = joto la chini na la juu
expect-day = siku iliyopita
expect-days = idadi ya siku
expect-hour = saa, 0 hadi 23
expect-member = namba ya mwanachama
expect-received = gramu zilizopokelewa
expect-join-code = msimbo na jina
expect-language = lugha
expect-range-end = vizimba viwili
expect-no-number = bila namba hapa
expect-shorter = ujumbe mfupi

## Refusals.

no-unknown-unit = Hakuna kizimba { $unit }; una { $units }. Chake hakikuhifadhiwa. Kukianza: "{ $unit } weka pupa 8000".
no-units = Hakuna kizimba { $unit } bado. Kukianza: "{ $unit } weka pupa 8000".
no-future-day = { $unit }: siku hiyo bado haijafika. Haikuhifadhiwa; tuma ikishafanyika.
no-too-far-back = Ni zaidi ya siku { $days } nyuma. Haikuhifadhiwa; afisa wako anaweza kuiandika.
no-too-far-back-at-all = Hiyo ni zaidi ya siku { $days } nyuma. Haikuhifadhiwa; tafadhali angalia siku.
no-before-stocking = { $unit } iliwekwa pupa { $day }; siku hiyo ni kabla yake. Haikuhifadhiwa.
no-day-month = Tarehe ni siku/mwezi, kama "C4 12.5 23/11". Haikuhifadhiwa.
no-not-running = { $unit } ni tupu. Haikuhifadhiwa. Kuweka pupa: "{ $unit } weka pupa 8000".
no-not-member = Namba hii bado si ya mwanachama. Uliza ushirika wako msimbo, kisha tuma "jiunga CODE Jina".
no-wrong-join-code = Msimbo huo si sahihi. Uliza ushirika wako, kisha tuma "jiunga CODE Jina".
no-already-member = Wewe tayari ni mwanachama { $member }. Tuma "msaada" kuona jinsi ya kuandika.
no-not-allowed = Ni afisa tu anayeweza. Tafadhali mwombe afisa wako.
no-such-member = Hakuna mwanachama { $member }. Haikuhifadhiwa; hakiki namba.
no-nothing-to-undo = Hakuna cha kufuta.
no-question-open = Hakuna swali lililo wazi. Hakuna kilichobadilika.
no-such-lang = Lugha zilizopo: { $langs }. Tuma kama "lugha { $first }".
no-check-letter = { $unit } inahitaji herufi ya ukaguzi pia, kama kwenye kizimba. Haikuhifadhiwa.
no-out-of-bounds = Namba hiyo haiwezekani. Haikuhifadhiwa. Tazama "msaada { $word }".
no-too-many-units = Shamba lako lina vizimba vyote vinavyoruhusiwa. Mwombe afisa wako.
no-plan-amount = Hakuna mayai kwenye kumbukumbu ya kupangia. Tuma unachotaka kwa wiki, kama "mpango 40".
no-plan-cold = Ni baridi mno nzi kutoka, hivyo hakuna mpango. Tuma joto, kama "joto 18-31".
no-plan-cages = Vinahitajika vizimba kama { $needed }; shamba linaruhusiwa { $most }. Kikomo ni vizimba: panga kidogo zaidi.
no-plan-pupae = Pupa wanaohitajika ni wengi kuliko waliopo. Kikomo ni pupa: panga kidogo zaidi.
no-plan-hold-back = Ingebidi kubakiza kama { $share }% ya mabuu yote; kundi humudu { $most }%. Hicho ndicho kikomo: kuanguliwa au kutaga kuboreshwe kwanza.
no-pin-wrong = Hiyo si siri yako. Majaribio yaliyobaki: { $left }. Hakuna kilichoonyeshwa wala kubadilishwa. Umesahau? Ofisi inaweza kuiondoa.
no-pin-locked = Siri si sahihi mara nyingi: imefungwa saa { $hours }. Mayai na kazi huhifadhiwa kama kawaida. Ofisi inaweza kuiondoa siri.
no-pin-plain = Siri hiyo ni rahisi kubahatisha; haikuwekwa. Chagua tarakimu nyingine 4 hadi 6, zisizofuatana wala kurudiwa, si namba yako.
no-pin-kept = Una siri, na hakuna aliyeiuliza. Hakuna kilichohifadhiwa. Kuibadilisha: siri, ya zamani, mpya. Kuiondoa: siri acha.
no-pin-none = Huna siri. Kuiweka: neno siri na tarakimu zako 4 hadi 6.
no-pin-another = Siri ni ya mwanachama mwenyewe: huiweka kwa simu yake. Ofisi inaweza kuiondoa.
no-pin-unclear = Hiyo si siri; hakuna kilichofanyika. Andika neno siri na tarakimu 4 hadi 6, bila kitu katikati.

## How a weight compares.

compared-same = Kama ilivyotarajiwa.
compared-low = { $unit } chini: ilitarajiwa { $range }.
compared-high = { $unit } juu: ilitarajiwa { $range }.

## Warnings: in full, and in brief for a crowded message.

warn-ants = Chungu kwenye { $units }: jaza mtaro maji na sabuni, ondoa vinavyogusa kizimba. Usitumie oili chafu wala dawa ya wadudu.
warn-ants-brief = Chungu kwenye { $units }: jaza mtaro maji na sabuni.
warn-heat = { $max } C ni joto kali kwa nzi: weka kivuli juu ya sehemu ya vizimba na maji mapya sasa.
warn-heat-brief = { $max } C ni joto kali: kivuli na maji.
warn-cold = { $min } C ni baridi: nzi hukakamaa chini ya 13 C. Funika vizimba usiku.
warn-cold-brief = { $min } C ni baridi: funika vizimba usiku.
warn-no-entry = Hakuna taarifa siku { $days } za { $units }. Mayai yanaweza kuanguliwa mitegoni: toa na upime.
warn-no-entry-brief = Hakuna taarifa siku { $days } za { $units }.
warn-no-eggs = { $units }: hakuna mayai, yalitarajiwa siku { $days } zilizopita. Kagua nzi, chambo, maji na jua.
warn-no-eggs-brief = { $units }: mayai yamechelewa siku { $days }.
warn-hatched = { $units }: mitego haijatolewa siku { $days }, huenda mayai yameanguliwa. Weka mitego mipya leo.
warn-hatched-brief = { $units }: huenda mayai yameanguliwa mtegoni.
warn-hatch-soon = Mayai ya { $units } yataanguliwa mtegoni kufikia kesho: toa na upime leo.
warn-hatch-soon-brief = { $units }: mayai kuanguliwa kesho, toa leo.
warn-poor = { $units } inatoa pungufu siku hizi. Kagua kwanza: { $checks }.
warn-poor-brief = { $units } inatoa kidogo: kagua { $checks }.
warn-low = { $units } iko chini, ilitarajiwa { $range }. Kagua kwanza: { $checks }.
warn-low-brief = { $units } chini, ilitarajiwa { $range }: kagua { $checks }.
check-water = maji
check-bait = chambo
check-heat = joto
check-ants = chungu
warn-many-dead = Nzi wengi wamekufa { $units }: kagua maji, kivuli na chungu. Vaa barakoa ukifagia; ukikohoa au kubanwa pumzi nenda kliniki.
warn-many-dead-brief = Nzi wengi wamekufa { $units }: kagua maji na kivuli.
warn-crowded = { $units } ina nzi wengi kuliko kizimba kinavyomudu. Ongeza vyombo vya maji; weka pupa wachache wakati ujao.
warn-crowded-brief = { $units } ina nzi wengi mno: weka wachache wakati ujao.

## Tasks.

tasks-today = Leo: { $items }.
tasks-next = Fanya: { $items }.
task-late = { $task } ({ $days ->
    [one] imechelewa siku 1
   *[other] zimechelewa siku { $days }
  })
task-very-late = { $task } (zimechelewa siku { $days }!)
task-long-late = { $task } (zaidi ya wiki!)
task-collect = toa mitego { $units }
task-bait = chambo { $units }
task-water = maji { $units }
task-moat = mtaro { $units }
task-traps = mitego mipya { $units }
task-shade = kivuli { $units }
task-swept = fagia { $units }
task-first-eggs = weka mitego na chambo { $units }, mayai karibu
task-retire = ondoa na safisha { $units }
task-restock = weka pupa tena { $units }

## How a cage is.

state-empty = { $unit } ni tupu.
state-empty-since = { $unit } ni tupu tangu { $day }.
state-waiting = { $unit }: siku ya { $days }, mayai ya kwanza kama { $day }.
state-laying = { $unit }: siku ya { $days }, inataga.
state-spent = { $unit }: siku ya { $days }, muda wake umepita. Ondoa na safisha.
state-week = Siku 7: { $grams }.
state-last = Siku 7: { $week }, mwisho { $grams } { $day }.
state-next = Siku 7 zijazo kama { $range }.
state-retire-by = Ondoa kabla ya { $day }.

## Answers.

joined = Karibu { $name }! Wewe ni mwanachama { $member } wa { $coop }. Anza kizimba kama "C1 weka pupa 8000". Zaidi: "msaada".
joined-nameless = Karibu! Wewe ni mwanachama { $member } wa { $coop }. Anza kizimba kama "C1 weka pupa 8000". Zaidi: "msaada".
lang-set = Kiswahili kuanzia sasa.
stopped = Hutapata tena ujumbe kutoka hapa. "anza" huurudisha.
started = Karibu tena. Utapata ujumbe kama kawaida.
away-until = Hakuna vikumbusho hadi { $day }. "nimerudi" huvirudisha.
back-again = Vikumbusho vimerudi.
lessons-on = Masomo yanaendelea: moja kwa siku, kila moja mara moja. "masomo acha" huyasimamisha.
lessons-off = Masomo yamesimama; vikumbusho vinaendelea. "masomo" huyarudisha.
hour-set = Vikumbusho vitakuja saa { $hour }:00 (saa 0 hadi 23).
kept-weight = { $unit } inabaki { $grams }.
kept-unit = { $unit } inabaki ilivyokuwa.
kept = Hakuna kilichobadilika.
no-tasks = Hakuna kazi sasa. Hongera!
eggs-week = Mayai ya siku 7: { $grams }.
eggs-weeks = Mayai ya siku 7: { $grams }. Siku 7 zijazo: kama { $range }, ni makadirio.
plan = Makadirio, mayai { $grams } kwa wiki: pupa { $pupae } kila kizimba, vizimba { $at_once } kila siku { $days }; jumla { $cages } (una { $have }). Bakiza pupa { $keep }/wiki. Kikomo: { $limit }.
limit-cages = vizimba
limit-crowding = nafasi
limit-pupae = pupa
limit-hold-back = pupa wa kubakiza
next-question = Swali lingine:
my-data = Zilizopo: mwanachama { $member } { $name }, kata { $ward }, simu { $phones }, vizimba { $cages }, na ujumbe wako. Ofisi itakupa nakala. "nisahau" hufuta.
forgotten = Jina, simu na ujumbe wako vimefutwa hapa; nakala hufuata baada ya siku chache. Hutapata ujumbe tena. Asante na kwaheri.
pin-set = Siri imewekwa. Huulizwa kabla taarifa zako kuonyeshwa au kufutwa; mayai na kazi hapana. Umesahau? Ofisi huiondoa. Futa ujumbe wako.
pin-ended = Siri yako imeondolewa. Haiulizwi tena.

## Help: one message each.

help = Mayai: "C4 12.5". Kazi: "C4 chambo maji". Pupa: "C7 weka pupa 8000". Umeona: "C4 chungu". Pia "kazi" "sahihi" "futa" "lugha". Zaidi, kama "msaada weka pupa".
help-eggs = Kizimba, kisha gramu za mayai: "C4 12.5". Vingi: "C4 12.5 C5 8". Mtego wenye mayai toa mtupu: "C4 62.5-50". Siku nyingine: "C4 12.5 jana".
help-stock = Pupa ulioweka, kwa idadi au uzito: "C7 weka pupa 8000", "C7 weka pupa 1.2kg". Umri mbalimbali: "C7 weka pupa 1.2kg mchanganyiko". Mzigo mzito mbebe wawili.
help-bait = Chambo kipya: "C4 chambo" au "C1-C6 chambo". Kila siku 2 hadi 4; kiwe na unyevu, kisikauke. Usitumie nyama; vaa glavu, nawa mikono.
help-water = Umeweka maji: "C4 maji" au "zote maji". Kila siku, mara mbili kukiwa na joto. Nzi hunywa kwenye kitambaa kibichi; maji wazi huwazamisha.
help-moat = Mtaro wa chungu umejazwa: "C4 mtaro" au "zote mtaro". Maji na sabuni kidogo, au grisi safi. Usitumie oili chafu: hudhuru ngozi, udongo na maji.
help-traps = Mitego mipya ya mayai: "C4 mitego". Nafasi za mm 1 hadi 3, ikauke, juu ya chambo. Itoe kila siku: kukiwa na joto mayai huanguliwa siku ya 3.
help-shade = Umeweka kivuli: "C4 kivuli" au "zote kivuli". Nzi wanahitaji jua la asubuhi kujamiiana, na kivuli sehemu ili joto lisifike 38 C.
help-swept = Umefagia nzi waliokufa: "C4 fagia". Walowanishe kwanza, vaa barakoa: vumbi huwafanya wengine kupiga chafya. Ukibanwa pumzi acha, nenda kliniki.
help-dead = Nzi waliokufa kwa uzito: "C4 wamekufa 40g". Vaa barakoa, walowanishe. Ukipiga chafya au kubanwa pumzi acha, nenda kliniki. Weka wengine kwa chambo.
help-ants = Umeona chungu: "C4 chungu". Jaza mtaro maji na sabuni, ondoa vinavyougusa. Usitumie dawa ya wadudu wala oili chafu: huua nzi.
help-temp = Joto la chini na la juu la siku, kwa C: "joto 18-31". Pima kivulini karibu na vizimba. 38 na zaidi ni joto kali.
help-retire = Kizimba kimeondolewa na kusafishwa: "C4 ondoa". Toa mayai ya mwisho, vaa barakoa, osha kwa sabuni, kausha juani. Usitumie dawa ya wadudu.
help-tasks = "kazi" au "?" huonyesha kazi za leo. "C4?" huonyesha hali ya kizimba.
help-fix = Uzito si sahihi: "sahihi C4 11.5" hurekebisha wa leo, "sahihi C4 11.5 jana" wa jana. Pupa: "sahihi C7 weka pupa 9000".
help-undo = "futa" hufuta ujumbe wako wa mwisho wote. Kisha tuma ulio sahihi. Namba moja tu: "sahihi C4 11.5".
help-add = Mavuno ya pili ya siku hiyo: "C4 3 ongeza". Hujumlishwa na ya awali. Pia ni jibu ukiulizwa kuhusu uzito mara mbili.
help-yes = "ndiyo" hujibu swali la mwisho na kuhifadhi kilichoonyeshwa. "hapana" huacha kama ilivyokuwa.
help-no = "hapana" hujibu swali la mwisho: hakuna kinachobadilika. "ndiyo" huhifadhi kilichoonyeshwa.
help-for = Afisa huandika kwa mwanachama: "kwa 2071 C4 12.5". Kwenye simu ya wengi huonyesha kizimba ni cha nani. Mwanachama huarifiwa.
help-join = Kuwa mwanachama: "jiunga CODE Jina". Ushirika wako una msimbo.
help-lang = "lugha sw" ni Kiswahili, "lugha en" Kiingereza, "lugha fr" Kifaransa. Maneno ya lugha zote hueleweka.
help-stop = "acha" husitisha ujumbe wote kwako. Kumbukumbu zako hubaki. "anza" huurudisha.
help-start = "anza" hurudisha ujumbe kwako baada ya "acha".
help-help = "msaada" huonyesha mistari mikuu; "msaada" na neno huonyesha zaidi, kama "msaada chambo" au "msaada mayai".
help-plan = "mpango 40" itakuambia uweke pupa wangapi kwa gramu 40 za mayai kwa wiki. Ni makadirio, si ahadi.
help-away = Usipokuwepo siku kadhaa: "sipo 5". Hakuna vikumbusho. "nimerudi" huvirudisha.
help-back = "nimerudi" hurudisha vikumbusho kabla siku za "sipo" hazijaisha.
help-hour = Vikumbusho saa nyingine: "hour 6" ni saa kumi na mbili asubuhi, "hour 18" ni saa kumi na mbili jioni.
help-got = Kituoni: "pokea 2071 48.2" huandika gramu zilizopokelewa kwa mwanachama 2071. Huarifiwa, na uzito wa shamba huonyeshwa kando.
help-data = "taarifa zangu" huonyesha kinachohifadhiwa kukuhusu. Ofisi inaweza kukupa nakala yote na kurekebisha makosa.
help-forget = "nisahau" hufuta jina, simu na ujumbe wako kabisa. Huuliza kwanza. Uzito hubaki bila jina.
help-lessons = Mfugaji mpya huambiwa jambo moja kwa siku na kikumbusho. "masomo acha" husimamisha, "masomo" hurudisha.
help-pin = "siri" na tarakimu 4 hadi 6: huulizwa kabla taarifa zako kuonyeshwa au kufutwa. "siri", zamani, mpya huibadilisha. "siri acha" huiondoa.

## Keywords, as this language writes them.

word-eggs = mayai
word-stock = weka pupa
word-bait = chambo
word-water = maji
word-moat = mtaro
word-traps = mitego
word-shade = kivuli
word-swept = fagia
word-dead = wamekufa
word-ants = chungu
word-temp = joto
word-retire = ondoa
word-tasks = kazi
word-fix = sahihi
word-undo = futa
word-add = ongeza
word-yes = ndiyo
word-no = hapana
word-for = kwa
word-join = jiunga
word-lang = lugha
word-stop = acha
word-start = anza
word-help = msaada
word-plan = mpango
word-away = sipo
word-back = nimerudi
word-hour = saa
word-got = pokea
word-data = taarifa
word-forget = nisahau
word-lessons = masomo
word-pin = siri
