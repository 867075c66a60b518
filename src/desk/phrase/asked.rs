//! Questions, refusals and what was not understood, in words.
//!
//! This room does not decide what is asked; it only words it.

use crate::desk::days::OFFICER_BACK_DAYS;
use crate::desk::phrase::estimated;
use crate::desk::phrase::keyed::{doubt, expected};
use crate::desk::phrase::keys::Key;
use crate::desk::phrase::saved::fact;
use crate::desk::phrase::verbs::{unplaced, verb};
use crate::desk::phrase::voice::{self, Voice};
use crate::desk::phrase::words::Value;
use crate::desk::reply::{Ask, Refusal, Saved, SavedWhat};
use crate::domain::code::UnitCode;
use crate::domain::pin::{Behind, NoPin};
use crate::domain::question::Unplaced;
use crate::domain::said::{Expected, Verb, Why};
use crate::units::day::FarmDay;
use crate::units::{Grams, Pupae};

/// A question.
pub(super) fn ask(voice: &Voice<'_>, ask: &Ask) -> String {
    match ask {
        Ask::OtherWeight {
            unit,
            day,
            old,
            new,
        } => voice.say(
            Key::AskOtherWeight,
            &[
                ("unit", unit.to_string().into()),
                ("day", voice.day(*day).into()),
                ("old", old.to_string().into()),
                ("new", new.to_string().into()),
            ],
        ),
        Ask::AddAgain {
            unit,
            day,
            grams,
            total,
        } => voice.say(
            Key::AskAddAgain,
            &[
                ("unit", unit.to_string().into()),
                ("day", voice.day(*day).into()),
                ("grams", grams.to_string().into()),
                ("total", total.to_string().into()),
            ],
        ),
        Ask::Delivery {
            grams,
            day,
            own,
            already,
        } => delivery(voice, *grams, *day, *own, *already),
        Ask::Implausible {
            unit,
            said,
            most,
            likely,
        } => implausible(voice, *unit, *said, *most, *likely),
        Ask::TooEarly { unit, grams, days } => voice.say(
            Key::AskTooEarly,
            &[
                ("unit", unit.to_string().into()),
                ("grams", grams.to_string().into()),
                ("days", (*days).into()),
            ],
        ),
        Ask::NotStocked { unit, grams } => voice.say(
            Key::AskNotStocked,
            &[
                ("unit", unit.to_string().into()),
                ("grams", grams.to_string().into()),
            ],
        ),
        Ask::Restock {
            unit,
            pupae,
            since: day_since,
        } => {
            let unit = ("unit", unit.to_string().into());
            let since = ("since", voice.day(*day_since).into());
            // A second stocking on the day of the first corrects it; no run ends.
            let same_day = *day_since == voice.today;
            let count = pupae.map(|pupae| ("count", pupae.to_string().into()));
            match (count, same_day) {
                (Some(count), true) => voice.say(Key::AskRestockTodayCount, &[unit, count]),
                (Some(count), false) => voice.say(Key::AskRestockCount, &[unit, since, count]),
                (None, true) => voice.say(Key::AskRestockToday, &[unit]),
                (None, false) => voice.say(Key::AskRestock, &[unit, since]),
            }
        }
        Ask::StockSize {
            unit,
            pupae,
            likely,
        } => stock_size(voice, *unit, *pupae, *likely),
        Ask::WhichUnit { grams, of, units } => which_unit(voice, *grams, *of, units),
        Ask::Whose(people) => {
            let shown: Vec<String> = people
                .iter()
                .map(|(number, name)| format!("{number} {}", voice::name(name)))
                .map(|person| person.trim_end().to_owned())
                .collect();
            let first = people
                .first()
                .map_or_else(|| "2071".to_owned(), |(number, _)| number.to_string());
            voice.say(
                Key::AskWhose,
                &[
                    ("people", voice.some(&shown, ", ").into()),
                    ("first", first.into()),
                ],
            )
        }
        Ask::Forget => voice.plain(Key::AskForget),
        Ask::Pin(Behind::Choose) => voice.plain(Key::AskNewPin),
        Ask::Pin(_) => voice.plain(Key::AskPin),
        Ask::Doubt {
            why,
            unit: _,
            text,
            options,
            likely,
        } => doubtful(voice, *why, text, options, likely.as_ref()),
    }
}

fn delivery(
    voice: &Voice<'_>,
    grams: Grams,
    day: FarmDay,
    own: Option<Grams>,
    already: Grams,
) -> String {
    let grams = ("grams", grams.to_string().into());
    let day = ("day", voice.day(day).into());
    match own {
        _ if already > Grams::ZERO => voice.say(
            Key::AskDeliveryAgain,
            &[grams, day, ("total", already.to_string().into())],
        ),
        Some(own) => voice.say(
            Key::AskDelivery,
            &[grams, day, ("own", own.to_string().into())],
        ),
        None => voice.say(Key::AskDeliveryLarge, &[grams, day]),
    }
}

fn implausible(
    voice: &Voice<'_>,
    unit: UnitCode,
    said: Grams,
    most: Grams,
    likely: Option<Grams>,
) -> String {
    let is_low = likely.is_some_and(|likely| likely > said);
    let unit = ("unit", unit.to_string().into());
    let said = ("said", said.to_string().into());
    let most = ("most", most.to_string().into());
    match likely {
        Some(likely) if is_low => {
            let likely = ("likely", likely.to_string().into());
            voice.say(Key::AskImplausibleLow, &[unit, said, likely])
        }
        Some(likely) => {
            let likely = ("likely", likely.to_string().into());
            voice.say(Key::AskImplausibleLikely, &[unit, said, most, likely])
        }
        None => voice.say(Key::AskImplausible, &[unit, said, most]),
    }
}

fn stock_size(voice: &Voice<'_>, unit: UnitCode, pupae: Pupae, likely: Option<Pupae>) -> String {
    let unit = ("unit", unit.to_string().into());
    let count = ("count", pupae.to_string().into());
    match likely {
        Some(likely) => {
            let likely = ("likely", likely.to_string().into());
            voice.say(Key::AskStockSizeLikely, &[unit, count, likely])
        }
        None => voice.say(Key::AskStockSize, &[unit, count]),
    }
}

fn which_unit(
    voice: &Voice<'_>,
    grams: Option<Grams>,
    of: Option<Unplaced>,
    units: &[UnitCode],
) -> String {
    let first = units
        .first()
        .map_or_else(|| "C1".to_owned(), ToString::to_string);
    let first = ("first", first.into());
    let units = ("units", voice.units(units).into());
    match grams {
        Some(grams) => {
            let grams = ("grams", grams.to_string().into());
            voice.say(Key::AskWhichUnitGrams, &[grams, units, first])
        }
        None => {
            // The word that was sent, so that the line to copy says what was meant.
            let (_, word) = verb(of.map_or(Verb::Water, unplaced));
            let word = ("word", voice.plain(word).into());
            voice.say(Key::AskWhichUnit, &[units, first, word])
        }
    }
}

fn doubtful(
    voice: &Voice<'_>,
    why: Why,
    text: &str,
    options: &[String],
    likely: Option<&Saved>,
) -> String {
    let stocks = likely.is_some_and(|saved| matches!(saved.what, SavedWhat::Stock { .. }));
    let why_key = if stocks && why == Why::TwoNumbers {
        Key::DoubtStock
    } else {
        doubt(why)
    };
    let piece = ("text", voice::piece(text).into());
    if why == Why::DayWord {
        return day_word(voice, piece, likely);
    }
    let reason = voice.say(why_key, &[piece]);
    if why == Why::Unsure && likely.is_none() {
        return reason;
    }
    if let Some(likely) = likely {
        let item = fact(voice, likely);
        // Of a whole line no one thing says what `yes` saves.
        let yes = if why == Why::SameAsYesterday {
            voice.plain(Key::DoubtYesAll)
        } else {
            voice.say(Key::DoubtYes, &[("item", item.into())])
        };
        // The barest attempt: what `yes` would save matters more than why it is asked.
        return if voice.list_max == 1 && why != Why::SameAsYesterday {
            yes
        } else {
            format!("{reason} {yes}")
        };
    }
    let again = voice.plain(Key::DoubtAgain);
    let options: Vec<String> = options.iter().map(|option| voice::piece(option)).collect();
    // Which cage is asked, not how much.
    if options.is_empty() || voice.brief || why == Why::CheckLetter {
        return format!("{reason} {again}");
    }
    let options = ("options", voice.some(&options, ", ").into());
    format!(
        "{reason} {} {again}",
        voice.say(Key::DoubtOptions, &[options])
    )
}

/// A word that is nearly a day: the day that it would be, and what saves the line for it.
fn day_word(voice: &Voice<'_>, text: (&'static str, Value), likely: Option<&Saved>) -> String {
    match likely {
        Some(likely) => {
            let day = ("day", voice.day(likely.day).into());
            let reason = voice.say(Key::DoubtDayWord, &[text, day]);
            format!("{reason} {}", voice.plain(Key::DoubtYesLine))
        }
        None => {
            let reason = voice.say(Key::DoubtWord, &[text]);
            format!("{reason} {}", voice.plain(Key::DoubtAgain))
        }
    }
}

/// A refusal.
pub(super) fn refused(voice: &Voice<'_>, refusal: &Refusal) -> String {
    let of = |unit: &UnitCode| ("unit", unit.to_string().into());
    match refusal {
        Refusal::UnknownUnit { unit, have } if have.is_empty() => {
            voice.say(Key::NoUnits, &[of(unit)])
        }
        Refusal::UnknownUnit { unit, have } => {
            let units = ("units", voice.units(have).into());
            voice.say(Key::NoUnknownUnit, &[of(unit), units])
        }
        Refusal::FutureDay(unit) => voice.say(Key::NoFutureDay, &[of(unit)]),
        // No officer may enter that either.
        Refusal::TooFarBack { days } if *days >= OFFICER_BACK_DAYS => {
            voice.say(Key::NoTooFarBackAtAll, &[("days", days.to_string().into())])
        }
        Refusal::TooFarBack { days } => {
            voice.say(Key::NoTooFarBack, &[("days", days.to_string().into())])
        }
        Refusal::BeforeStocking { unit, stocked } => {
            let day = ("day", voice.day(*stocked).into());
            voice.say(Key::NoBeforeStocking, &[of(unit), day])
        }
        Refusal::DayMonth => voice.plain(Key::NoDayMonth),
        Refusal::NotRunning(unit) => voice.say(Key::NoNotRunning, &[of(unit)]),
        Refusal::NotMember => voice.plain(Key::NoNotMember),
        Refusal::WrongJoinCode => voice.plain(Key::NoWrongJoinCode),
        Refusal::AlreadyMember(member) => {
            let member = ("member", member.to_string().into());
            voice.say(Key::NoAlreadyMember, &[member])
        }
        Refusal::NotAllowed => voice.plain(Key::NoNotAllowed),
        Refusal::NoSuchMember(member) => {
            let member = ("member", member.to_string().into());
            voice.say(Key::NoSuchMember, &[member])
        }
        Refusal::NothingOpen(Verb::Undo) => voice.plain(Key::NoNothingToUndo),
        Refusal::NothingOpen(_) => voice.plain(Key::NoQuestionOpen),
        Refusal::NoSuchLang(langs) => {
            let first = langs
                .first()
                .map_or_else(|| "en".to_owned(), ToString::to_string);
            let langs: Vec<String> = langs.iter().map(ToString::to_string).collect();
            voice.say(
                Key::NoSuchLang,
                &[
                    ("langs", voice.some(&langs, " ").into()),
                    ("first", first.into()),
                ],
            )
        }
        Refusal::CheckLetterNeeded(unit) => voice.say(Key::NoCheckLetter, &[of(unit)]),
        Refusal::OutOfBounds(about) => {
            let word = voice.plain(verb(*about).1);
            voice.say(Key::NoOutOfBounds, &[("word", word.into())])
        }
        Refusal::TooManyUnits => voice.plain(Key::NoTooManyUnits),
        Refusal::NoPlan(why) => estimated::no_plan(voice, *why),
        Refusal::Pin(why) => no_pin(voice, *why),
    }
}

fn no_pin(voice: &Voice<'_>, why: NoPin) -> String {
    match why {
        NoPin::Wrong(left) => voice.say(Key::NoPinWrong, &[("left", u32::from(left).into())]),
        NoPin::Locked(hours) => voice.say(Key::NoPinLocked, &[("hours", u32::from(hours).into())]),
        NoPin::Plain => voice.plain(Key::NoPinPlain),
        NoPin::Kept => voice.plain(Key::NoPinKept),
        NoPin::None => voice.plain(Key::NoPinNone),
        NoPin::Another => voice.plain(Key::NoPinAnother),
        NoPin::Unclear => voice.plain(Key::NoPinUnclear),
    }
}

/// What was not understood, what could have stood there, and a line to copy.
pub(super) fn unread(
    voice: &Voice<'_>,
    words: &[String],
    wanted: Expected,
    example: &str,
) -> String {
    let words: Vec<String> = words
        .iter()
        .map(|word| voice::word(word))
        .filter(|word| !word.is_empty())
        .collect();
    if words.is_empty() && wanted == Expected::CageOrWord {
        return voice.say(
            Key::UnreadNothing,
            &[("example", example.to_owned().into())],
        );
    }
    let lead = if words.is_empty() {
        voice.plain(Key::UnreadPart)
    } else {
        let words = ("words", voice.some(&words, ", ").into());
        voice.say(Key::UnreadWords, &[words])
    };
    let wanted = ("expected", voice.plain(expected(wanted)).into());
    let example = ("example", example.to_owned().into());
    format!(
        "{lead} {}",
        voice.say(Key::UnreadExample, &[wanted, example])
    )
}

/// A line to copy after a second one in a row that nobody could read.
pub(super) fn teach(voice: &Voice<'_>, line: &str, has_number: bool) -> String {
    let key = if has_number {
        Key::TeachNumber
    } else {
        Key::TeachLine
    };
    voice.say(key, &[("example", line.to_owned().into())])
}
