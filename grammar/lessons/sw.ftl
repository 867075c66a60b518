# Masomo mafupi kwa mfugaji mpya: moja kwa siku, chini ya kazi ya haraka zaidi ya kikumbusho.
#
# At most 96 septets each with a unit of five characters. A native speaker has still to check them.

## The first week.

one-line = Kila asubuhi mstari mmoja watosha: kizimba, kisha gramu, kama "{ $unit } 12.5".
care = Taja kazi kwenye mstari huo: "{ $unit } 12.5 maji chambo". Orodha itajua.
how-is = "{ $unit }?" huonyesha hali ya kizimba na kitakachotoa. "kazi" ni orodha ya leo.
slip = Umekosea? "sahihi { $unit } 11.5" hurekebisha ya leo; "futa" hufuta mstari wa mwisho.
other-day = Umeruka siku? "{ $unit } 12.5 jana" au "{ $unit } 12.5 jumatatu" bado huhesabiwa.
questions = Jibu likiuliza, bado halijahifadhiwa: tuma "ndiyo" au "hapana".
quiet = "sipo 5" hupumzisha ujumbe huu siku tano; "masomo acha" husimamisha masomo.

## Each stage of a cage.

water = Nzi hunywa, hawali: taulo bichi ndani ya boksi la maji, ongeza kila siku.
bait-and-traps = Chambo chenye harufu kali huvuta nzi: weka mitego juu kabla ya mayai ya kwanza.
moats = Chungu humaliza kizimba: kila mguu uwe kwenye maji na sabuni kidogo, kamwe si oili.
shade = Nzi hupenda mwanga mwingi bila jua kali: kivuli juu, pembeni wazi.
pull-traps = Toa mitego kila asubuhi saa ile ile: mayai huanguliwa baada ya siku nne hivi.
weighing = Mizani ianze 0, pima mayai bila mtego, andika 12.5. Bila mayai andika "0".
hatching = Angulia mayai penye joto na unyevu, juu ya chakula, si ndani; kamwe si kwenye friji.
retiring = Kizimba kinachotoa kidogo hupoteza nafasi: "{ $unit } ondoa", kisha weka pupa wapya.
cleaning = Ondoa, fagia, osha, kausha kizimba kabla ya pupa wapya. Nzi waliokufa ni chambo.

## Cautions.

allergy = Vumbi la nzi hubana kifua: vaa barakoa, lowesha kwanza. Ukikosa pumzi, nenda kliniki.
waste = Vaa glavu, nawa mikono. Uliza ofisi ya eneo lako ni taka gani zinaruhusiwa.
lifting = Mzigo mzito ubebwe na wawili, mgongo wima. Njia ziwe kavu na wazi.
