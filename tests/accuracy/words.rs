//! How keepers say things, by language: the word itself marked with `*`, with the small words that people put around it.
//!
//! English and Kiswahili as written on phones; the Kiswahili has still to be checked by a native speaker, like the program's own.
//! Nothing here is read from the program's word lists, so that a form that they lack shows.

use clutchline::domain::{CareJob, StockKind};

/// What a keeper writes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tongue {
    English,
    Kiswahili,
}

use Tongue::{English, Kiswahili};

/// Care done.
pub fn care(tongue: Tongue, job: CareJob) -> &'static [&'static str] {
    match (tongue, job) {
        (English, CareJob::Water) => &[
            "*water",
            "*water",
            "*water",
            "*watered",
            "*water ok",
            "added *water",
            "new *water",
            "*water done",
        ],
        (English, CareJob::Bait) => &[
            "*bait",
            "*bait",
            "*bait",
            "new *bait",
            "changed *bait",
            "*bait changed",
            "*bait ok",
        ],
        (English, CareJob::Moat) => &["*moat", "*moat", "*moats", "filled *moat", "*moat filled"],
        (English, CareJob::Traps) => &["*traps", "*trap", "new *traps"],
        (English, CareJob::Shade) => &["*shade", "*shaded", "put *shade"],
        (English, CareJob::Swept) => &["*swept", "*swept", "*sweep", "i *swept"],
        (Kiswahili, CareJob::Water) => &[
            "*maji",
            "*maji",
            "*maji",
            "nimeweka *maji",
            "nimeongeza *maji",
            "*maji mapya",
            "*maji tayari",
        ],
        (Kiswahili, CareJob::Bait) => &[
            "*chambo",
            "*chambo",
            "*chambo kipya",
            "nimebadilisha *chambo",
            "nimeweka *chambo",
        ],
        (Kiswahili, CareJob::Moat) => &["*mtaro", "*mtaro", "*mitaro", "nimejaza *mtaro"],
        (Kiswahili, CareJob::Traps) => &["*mitego", "*mtego", "nimeweka *mitego"],
        (Kiswahili, CareJob::Shade) => &["*kivuli", "nimeweka *kivuli"],
        (Kiswahili, CareJob::Swept) => &["*fagia", "*nimefagia", "*nimefagia", "*fagia tayari"],
    }
}

/// Ants seen.
pub fn ants(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &["*ants", "*ants", "*ants seen", "saw *ants", "has *ants"],
        Kiswahili => &["*chungu", "kuna *chungu", "*siafu", "nimeona *chungu"],
    }
}

/// Dead flies, before their weight.
pub fn dead(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &["*dead", "*dead", "*dead flies"],
        Kiswahili => &["*wamekufa", "*wamekufa", "nzi *wamekufa"],
    }
}

/// Stocked, before its amount.
pub fn stock(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &["*stock", "*stock", "*stocked", "*stocked with"],
        Kiswahili => &["*weka", "*weka", "*nimeweka", "*weka pupa"],
    }
}

/// Stock kinds; one age is what nobody says.
pub fn kind(tongue: Tongue, kind: StockKind) -> Option<&'static str> {
    match (tongue, kind) {
        (_, StockKind::OneAge) => None,
        (English, StockKind::Mixed) => Some("*mixed"),
        (Kiswahili, StockKind::Mixed) => Some("*mchanganyiko"),
    }
}

/// Emptied and cleaned.
pub fn retire(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &["*retire", "*retire", "*retired"],
        Kiswahili => &["*ondoa", "*ondoa", "*nimeondoa"],
    }
}

/// Eggs, beside their weight.
pub fn eggs(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &["*eggs", "*eggs", "*egg"],
        Kiswahili => &["*mayai", "*mayai", "*yai"],
    }
}

/// Temperature.
pub fn temperature(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &["*temp", "*temp", "*temperature"],
        Kiswahili => &["*joto", "*joto", "hali ya *joto"],
    }
}

/// All cages.
pub fn all(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &["*all", "*all", "*all cages"],
        Kiswahili => &["*zote", "*zote", "vizimba *vyote"],
    }
}

/// Mass units after a number; empty most of the time.
pub fn grams(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &[
            "", "", "", "", "g", "g", "g", " g", " gm", "gm", " grams", "gr",
        ],
        Kiswahili => &["", "", "", "", "g", "g", " g", "gm", " gramu", " gram"],
    }
}

/// Yesterday, today, the day before yesterday.
pub fn back(tongue: Tongue, days: i64) -> Option<&'static str> {
    match (tongue, days) {
        (English, 0) => Some("*today"),
        (English, 1) => Some("*yesterday"),
        (Kiswahili, 0) => Some("*leo"),
        (Kiswahili, 1) => Some("*jana"),
        (Kiswahili, 2) => Some("*juzi"),
        _ => None,
    }
}

/// Weekdays, Monday first.
pub fn weekdays(tongue: Tongue) -> [&'static str; 7] {
    match tongue {
        English => ["mon", "tue", "wednesday", "thu", "friday", "sat", "sun"],
        Kiswahili => [
            "jumatatu", "jumanne", "jumatano", "alhamisi", "ijumaa", "jumamosi", "jumapili",
        ],
    }
}

/// What a polite line begins with.
pub fn greetings(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &[
            "Hi",
            "Hello",
            "Good morning",
            "Morning",
            "Good evening",
            "Dear sir",
        ],
        Kiswahili => &[
            "Habari",
            "Habari za asubuhi",
            "Shikamoo",
            "Jambo",
            "Salaam",
            "Hujambo",
            "Mambo",
        ],
    }
}

/// What a polite line ends with.
pub fn thanks(tongue: Tongue) -> &'static [&'static str] {
    match tongue {
        English => &["Thanks", "Thank you", "thx", "please"],
        Kiswahili => &["Asante", "Asante sana", "Ahsante", "tafadhali"],
    }
}

/// Invented keepers sign with these; several are one slip away from a keyword, as names are.
pub const NAMES: [&str; 10] = [
    "Neema", "Juma", "Ali", "Asha", "Jane", "Moses", "Daudi", "Grace", "Ann", "Zuhura",
];

/// Emoji that end a line.
pub const EMOJI: [&str; 5] = ["👍", "🙏", "😀", "🥚", "🙏🏾"];

/// Other words with the same keys: what predictive text offers instead. Checked against E.161 by a test.
pub const TWINS: [(&str, &str); 13] = [
    ("water", "waves"),
    ("maji", "mali"),
    ("zote", "yote"),
    ("dead", "deaf"),
    ("temp", "tens"),
    ("ants", "cots"),
    ("egg", "dig"),
    ("egg", "fig"),
    ("yai", "wag"),
    ("leo", "ken"),
    ("jana", "lana"),
    ("sun", "run"),
    ("sat", "rat"),
];
