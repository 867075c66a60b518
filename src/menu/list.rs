//! What each list offers to this phone, on this day.
//!
//! Labels come from the files of texts, cages from the farm. This room does not know keys or pages.

use crate::desk::forecast::Sums;
use crate::desk::reply::Stage;
use crate::desk::stage::stage;
use crate::desk::unit::{Run, Unit};
use crate::domain::code::UnitCode;
use crate::domain::lang::Lang;
use crate::domain::said::Verb;
use crate::domain::{CareJob, Role};
use crate::grammar::Lexicon;
use crate::grammar::meanings::{Manner, Meaning};
use crate::grammar::registry::{self, VERBS};
use crate::menu::keys::item;
use crate::menu::{Act, Goes, List, Place, Typed, View, home_of};
use crate::texts::Value;

/// One choice: its label, and where it leads.
pub(crate) type Choice = (String, Goes);

impl View<'_> {
    pub(crate) fn say(&self, key: &str, values: &[(&'static str, Value)]) -> String {
        self.texts.say(key, values)
    }

    pub(crate) fn plain(&self, key: &str) -> String {
        self.say(key, &[])
    }

    /// A keyword in the phone's language.
    pub(crate) fn word(&self, verb: Verb) -> String {
        Lexicon::builtin().word(verb, self.lang).to_owned()
    }

    /// The keyword of the reminders' hour; the English one where the language's own counts hours from sunrise.
    pub(crate) fn hour_word(&self) -> String {
        let lexicon = Lexicon::builtin();
        let own = self.word(Verb::Hour);
        let sunrise = lexicon
            .get(&own)
            .is_some_and(|entry| matches!(entry.meaning, Meaning::Verb(_, Manner::SixHourClock)));
        if sunrise {
            lexicon.word(Verb::Hour, Lang::EN).to_owned()
        } else {
            own
        }
    }

    fn label(&self, verb: Verb) -> String {
        self.plain(&item(verb))
    }

    pub(crate) fn role(&self) -> Role {
        self.speaker.map_or(Role::Keeper, |member| member.role)
    }

    /// Laying cages without an entry today, by code.
    pub(crate) fn to_weigh(&self) -> Vec<UnitCode> {
        let sums = Sums::of(self.rules, self.farm);
        let lays = |run: &Run| matches!(stage(&sums, run, self.today), Stage::Laying { .. });
        self.farm
            .running()
            .filter(|(_, run)| run.on(self.today).is_none() && lays(run))
            .map(|(unit, _)| unit.code)
            .collect()
    }
}

/// The choices of a list.
pub(crate) fn choices(view: &View<'_>, list: &List) -> Vec<Choice> {
    match list {
        List::First => first(view),
        List::Care => of_list(view, list, |verb| {
            let job = registry::of(verb).care.unwrap_or(CareJob::Bait);
            Some(units(Act::Care(job)))
        }),
        List::Cages => cages(view),
        List::Seen => of_list(view, list, |verb| match verb {
            Verb::Dead => Some(units(Act::Dead)),
            Verb::Ants => Some(units(Act::Ants)),
            Verb::Temp => Some(Goes::To(Place::Type(Typed::Coldest))),
            _ => None,
        }),
        List::Reminders => of_list(view, list, |verb| match verb {
            Verb::Hour => Some(Goes::To(Place::Type(Typed::Hour))),
            Verb::Away => Some(Goes::To(Place::Type(Typed::Days))),
            Verb::Back => Some(Goes::Say(view.word(Verb::Back))),
            // On where they were ended, and the other way.
            Verb::Lessons => Some(Goes::Say(if view.farm.lessons_off {
                view.word(Verb::Lessons)
            } else {
                format!("{} {}", view.word(Verb::Lessons), view.word(Verb::Stop))
            })),
            _ => None,
        }),
        List::Messages => messages(view),
        List::Langs => langs(view),
        List::Help => VERBS
            .iter()
            .map(|row| {
                // The English word: one word in each case, and read in every language.
                let topic = Lexicon::builtin().word(row.verb, Lang::EN);
                let line = format!("{} {topic}", view.word(Verb::Help));
                (view.word(row.verb), Goes::Say(line))
            })
            .collect(),
        List::Units(act) => units_for(view, *act),
        List::StockBy(unit) => vec![
            (view.plain("by-count"), to(Typed::Count(*unit))),
            (view.plain("by-weight"), to(Typed::PupaeWeight(*unit))),
        ],
        List::Kind(unit, amount) => {
            let line = format!("{unit} {} {amount}", view.word(Verb::Stock));
            let mixed = format!("{line} {}", view.plain("mixed-word"));
            vec![
                (view.plain("one-age"), sure(line, true)),
                (view.plain("mixed"), sure(mixed, true)),
            ]
        }
        List::Whose => view
            .people
            .iter()
            .map(|member| {
                let label = format!("{} {}", member.number, member.name);
                (label.trim_end().to_owned(), Goes::Owner(member.number))
            })
            .collect(),
        List::GoOn => vec![
            (view.plain("go-on-yes"), Goes::GoOn),
            (view.plain("go-on-no"), Goes::Anew),
        ],
        List::Stranger => stranger(view),
    }
}

pub(crate) fn to(typed: Typed) -> Goes {
    Goes::To(Place::Type(typed))
}

fn units(act: Act) -> Goes {
    Goes::To(Place::List(List::Units(act), 0))
}

fn list(list: List) -> Goes {
    Goes::To(Place::List(list, 0))
}

/// A line that is shown before it is said.
pub(crate) fn sure(line: String, dated: bool) -> Goes {
    Goes::To(Place::Sure {
        line,
        days: None,
        dated,
    })
}

/// The verbs that have their home in a list, with where each leads.
fn of_list(view: &View<'_>, list: &List, goes: impl Fn(Verb) -> Option<Goes>) -> Vec<Choice> {
    VERBS
        .iter()
        .filter(|row| home_of(row.verb).0 == *list)
        .filter_map(|row| Some((view.label(row.verb), goes(row.verb)?)))
        .collect()
}

/// The commonest first: what is done every morning, then what is asked, then the rest.
fn first(view: &View<'_>) -> Vec<Choice> {
    let said = |verb| (view.label(verb), Goes::Say(view.word(verb)));
    let group = |key: &str, to: List| (view.plain(key), list(to));
    let mut all = vec![(view.label(Verb::Eggs), Goes::Round)];
    if let Some(question) = &view.question {
        let asked = question.place();
        all.push((view.label(Verb::Yes), Goes::To(asked)));
    }
    all.push(group("group-care", List::Care));
    all.push(said(Verb::Tasks));
    all.push(group("group-cages", List::Cages));
    if view.role() >= home_of(Verb::Got).1 {
        all.push((view.label(Verb::Got), to(Typed::Giver)));
    }
    if view.role() >= home_of(Verb::For).1 {
        all.push((view.label(Verb::For), to(Typed::Member)));
    }
    all.push(group("group-seen", List::Seen));
    all.push((view.label(Verb::Plan), to(Typed::Plan)));
    all.push(said(Verb::Undo));
    all.push(group("group-reminders", List::Reminders));
    all.push((view.label(Verb::Lang), list(List::Langs)));
    all.push(group("group-messages", List::Messages));
    all.push((view.label(Verb::Help), list(List::Help)));
    all
}

fn cages(view: &View<'_>) -> Vec<Choice> {
    vec![
        (view.plain("cage-state"), units(Act::State)),
        (view.label(Verb::Stock), units(Act::Stock)),
        (view.label(Verb::Fix), units(Act::Fix)),
        (view.label(Verb::Add), units(Act::Add)),
        (view.label(Verb::Retire), units(Act::Retire)),
        // The week's sum: the word for eggs alone.
        (view.plain("week-sum"), Goes::Say(view.word(Verb::Eggs))),
    ]
}

fn messages(view: &View<'_>) -> Vec<Choice> {
    let copies = if view.speaker.is_some_and(|member| member.menu_copies) {
        (view.plain("copy-off"), Goes::Copies(false))
    } else {
        (view.plain("copy-on"), Goes::Copies(true))
    };
    let mut all = vec![copies];
    for verb in [Verb::Stop, Verb::Start, Verb::Data, Verb::Forget] {
        all.push((view.label(verb), Goes::Say(view.word(verb))));
    }
    // Without one the desk asks for the new one; with one, for it, before it ends.
    let has = view.speaker.is_some_and(|member| member.pin.is_some());
    let (label, word) = (view.label(Verb::Pin), view.word(Verb::Pin));
    all.push(if has {
        let stop = view.word(Verb::Stop);
        (
            format!("{label}: {stop}"),
            Goes::Say(format!("{word} {stop}")),
        )
    } else {
        (label, Goes::Say(word))
    });
    all
}

fn langs(view: &View<'_>) -> Vec<Choice> {
    let own_name = |lang: Lang| match lang.to_string().as_str() {
        "en" => "English".to_owned(),
        "sw" => "Kiswahili".to_owned(),
        "fr" => "Francais".to_owned(),
        other => other.to_owned(),
    };
    Lexicon::builtin()
        .langs()
        .into_iter()
        .map(|lang| {
            let line = format!("{} {lang}", view.word(Verb::Lang));
            (own_name(lang), Goes::Say(line))
        })
        .collect()
}

fn stranger(view: &View<'_>) -> Vec<Choice> {
    vec![
        (view.label(Verb::Join), to(Typed::JoinCode)),
        (view.label(Verb::Stop), Goes::Say(view.word(Verb::Stop))),
        (view.label(Verb::Start), Goes::Say(view.word(Verb::Start))),
    ]
}

/// The cages that fit an act, each with what comes next.
fn units_for(view: &View<'_>, act: Act) -> Vec<Choice> {
    let fits = |unit: &&Unit| match act {
        Act::Stock => unit.running.is_none(),
        Act::State => true,
        Act::Care(_) | Act::Eggs | Act::Add | Act::Fix | Act::Retire | Act::Dead | Act::Ants => {
            unit.running.is_some()
        }
    };
    let fitting: Vec<UnitCode> = view
        .farm
        .units
        .iter()
        .filter(fits)
        .map(|u| u.code)
        .collect();
    let mut all = Vec::new();
    if let Act::Care(job) = act
        && fitting.len() > 1
    {
        let line = format!("all {}", job_word(view, job));
        all.push((view.plain("all"), sure(line, true)));
    }
    for unit in fitting {
        all.push((unit.to_string(), at_unit(view, act, unit)));
    }
    if act == Act::Stock {
        all.push((view.plain("new-cage"), to(Typed::NewCage)));
    }
    all
}

fn job_word(view: &View<'_>, job: CareJob) -> String {
    let row = VERBS.iter().find(|row| row.care == Some(job));
    row.map_or_else(String::new, |row| view.word(row.verb))
}

/// What an act at a chosen cage leads to.
fn at_unit(view: &View<'_>, act: Act, unit: UnitCode) -> Goes {
    match act {
        Act::Care(job) => sure(format!("{unit} {}", job_word(view, job)), true),
        Act::Eggs => Goes::To(Place::Weigh { unit, round: false }),
        Act::Add | Act::Fix => to(Typed::Weight(act, unit)),
        Act::Stock => list(List::StockBy(unit)),
        Act::Retire => sure(format!("{unit} {}", view.word(Verb::Retire)), true),
        Act::Dead => to(Typed::Dead(unit)),
        Act::Ants => sure(format!("{unit} {}", view.word(Verb::Ants)), true),
        Act::State => Goes::Say(format!("{unit}?")),
    }
}
