//! Something typed at a place that waits for it: checked for its form, and led to the screen that shows it before it is said.
//!
//! This room does not know what is plausible.

use crate::domain::MemberNo;
use crate::domain::code::UnitCode;
use crate::domain::pin::Pin;
use crate::domain::said::Verb;
use crate::menu::list::sure;
use crate::menu::press::{CAGE_MOST, SKIP, go, not_valid};
use crate::menu::typed::{code, name, weight, whole};
use crate::menu::{Act, Command, Goes, List, Place, Session, Typed, Typing, View};

/// Days away, as the entry language has them.
const AWAY_MOST: u32 = 60;
/// Pupae of one stocking that can be typed; the desk asks about less.
const PUPAE_MOST: u32 = 999_999;
/// Degrees of air that can be typed.
const DEGREES_MOST: u32 = 60;

/// Something typed at a place that waits for it.
pub(crate) fn enter(
    view: &View<'_>,
    session: &mut Session,
    what: Typed,
    typed: &str,
    how: Typing,
) -> Option<Command> {
    let skipped = SKIP.contains(&typed);
    let goes =
        match what {
            Typed::Weight(act, unit) => weight(typed, how).map(|grams| {
                let line = match act {
                    Act::Fix => format!("{} {unit} {grams}g", view.word(Verb::Fix)),
                    _ => format!("{unit} {grams}g {}", view.word(Verb::Add)),
                };
                sure(line, true)
            }),
            Typed::NewCage => new_cage(view, typed),
            Typed::Count(unit) => whole(typed, 1, PUPAE_MOST)
                .map(|count| Goes::To(Place::List(List::Kind(unit, count.to_string()), 0))),
            Typed::PupaeWeight(unit) => weight(typed, how)
                .map(|grams| Goes::To(Place::List(List::Kind(unit, format!("{grams}g")), 0))),
            Typed::Dead(unit) if skipped => {
                Some(sure(format!("{unit} {}", view.word(Verb::Dead)), true))
            }
            Typed::Dead(unit) => weight(typed, how)
                .map(|grams| sure(format!("{unit} {} {grams}g", view.word(Verb::Dead)), true)),
            Typed::Coldest => whole(typed, 1, DEGREES_MOST)
                .map(|low| Goes::To(Place::Type(Typed::Hottest(low.to_string())))),
            Typed::Hottest(low) => whole(typed, 1, DEGREES_MOST)
                .map(|high| sure(format!("{} {low}-{high}", view.word(Verb::Temp)), true)),
            Typed::Plan if skipped => Some(Goes::Say(view.word(Verb::Plan))),
            Typed::Plan => weight(typed, how)
                .map(|grams| Goes::Say(format!("{} {grams}g", view.word(Verb::Plan)))),
            Typed::Days => whole(typed, 1, AWAY_MOST)
                .map(|days| sure(format!("{} {days}", view.word(Verb::Away)), false)),
            Typed::Hour => {
                whole(typed, 1, 23).map(|hour| sure(format!("{} {hour}", view.hour_word()), false))
            }
            // A dialled string stays in the phone's list of calls: no PIN belongs there.
            Typed::Pin => match how {
                Typing::Dialled { .. } => None,
                Typing::Session { .. } => Pin::new(typed).map(|pin| {
                    session.places.pop();
                    Goes::Say(format!("{} {}", view.word(Verb::Pin), pin.digits()))
                }),
            },
            Typed::Member => {
                let member = whole(typed, 1, u32::MAX)?;
                session.speaks_for = Some(MemberNo(member));
                session.places.clear();
                return None;
            }
            Typed::Giver => whole(typed, 1_000, u32::MAX)
                .map(|no| Goes::To(Place::Type(Typed::Got(MemberNo(no))))),
            Typed::Got(no) => weight(typed, how)
                .map(|grams| sure(format!("{} {no} {grams}g", view.word(Verb::Got)), false)),
            Typed::JoinCode => code(typed).map(|code| Goes::To(Place::Type(Typed::JoinName(code)))),
            Typed::JoinName(code) => name(typed)
                .map(|name| sure(format!("{} {code} {name}", view.word(Verb::Join)), false)),
        };
    match goes {
        Some(goes) => go(view, session, goes, how),
        None => {
            not_valid(view, session);
            None
        }
    }
}

/// A cage that is new: its number, under the letters that most of the farm's cages have.
fn new_cage(view: &View<'_>, typed: &str) -> Option<Goes> {
    let number = whole(typed, 1, CAGE_MOST).and_then(|n| u16::try_from(n).ok())?;
    let letters = view.farm.units.first().map(|unit| unit.code.letters());
    let unit = UnitCode::new(letters.as_deref().unwrap_or("C"), number)?;
    Some(Goes::To(Place::List(List::StockBy(unit), 0)))
}
