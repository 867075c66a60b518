//! What a key or a typed word does where the session stands.
//!
//! A number that would be recorded is never said from where it is typed: it goes to the place that shows it, and only a choice there says it. This
//! room does not draw screens.

use crate::domain::code::UnitCode;
use crate::domain::message::Outcome;
use crate::domain::said::Verb;
use crate::menu::enter::enter;
use crate::menu::list::{choices, sure};
use crate::menu::show::page;
use crate::menu::typed::{weight, whole};
use crate::menu::{Act, Command, Goes, List, Place, Session, Told, Typing, View};

/// Back.
const BACK: &str = "0";
/// To the first screen.
const FIRST: &str = "00";
/// A harvest of nothing, where one `0` goes back.
const NOTHING: &str = "000";
/// The next, or nothing said.
pub(crate) const SKIP: [&str; 2] = ["#", ""];
/// The highest number of a cage.
pub(crate) const CAGE_MOST: u32 = 999;
/// Days back that a keeper may enter by menu; the desk has the last word.
const DAYS_BACK_MOST: u32 = 14;

/// See [`crate::menu::press`].
pub(crate) fn press(
    view: &View<'_>,
    session: &mut Session,
    typed: &str,
    how: Typing,
) -> Option<Command> {
    let typed = typed.trim();
    session.headline.clear();
    session.wrong = false;
    match typed {
        FIRST => {
            home(view, session);
            return None;
        }
        BACK => {
            back(view, session);
            return None;
        }
        _ => {}
    }
    match session.place() {
        Place::List(list, at) => choose(view, session, &list, at, typed, how),
        Place::Weigh { unit, round } => {
            weigh(view, session, unit, round, typed, how);
            None
        }
        Place::Type(what) => enter(view, session, what, typed, how),
        Place::Sure { line, days, dated } => confirm(view, session, line, days, dated, typed),
        Place::DaysBack { line } => {
            match whole(typed, 1, DAYS_BACK_MOST).and_then(|n| u8::try_from(n).ok()) {
                Some(days) => {
                    session.places.pop();
                    session.turn(Place::Sure {
                        line,
                        days: Some(days),
                        dated: true,
                    });
                }
                None => not_valid(view, session),
            }
            None
        }
        Place::Asked {
            addable,
            answerable,
            ..
        } => answer(view, session, addable, answerable, typed),
        Place::Read { text, page } => {
            if typed == "1" {
                let page = page.saturating_add(1);
                session.turn(Place::Read { text, page });
            } else if !SKIP.contains(&typed) {
                not_valid(view, session);
            }
            None
        }
    }
}

/// The first screen; a phone of several keeps its choice of farm, a stranger has a first screen of their own.
fn home(view: &View<'_>, session: &mut Session) {
    session.places.clear();
    session.round = false;
    session.speaks_for = None;
    if view.people.is_empty() {
        session.go(Place::List(List::Stranger, 0));
    } else if view.people.len() > 1 && session.owner.is_none() {
        session.go(Place::List(List::Whose, 0));
    }
}

fn back(view: &View<'_>, session: &mut Session) {
    match session.place() {
        // The page before.
        Place::List(list, at) if at > 0 => session.turn(Place::List(list, at - 1)),
        Place::Read { text, page } if page > 0 => {
            let page = page - 1;
            session.turn(Place::Read { text, page });
        }
        // What was offered has no other place to go back to.
        Place::List(List::GoOn, _) => {
            session.broken_off = None;
            session.places.pop();
        }
        _ => {
            session.places.pop();
        }
    }
    session.round = false;
    if session.places.is_empty() {
        home(view, session);
    }
}

pub(crate) fn not_valid(view: &View<'_>, session: &mut Session) {
    session.headline = view.plain("not-valid");
    session.wrong = true;
}

fn choose(
    view: &View<'_>,
    session: &mut Session,
    list: &List,
    at: u8,
    typed: &str,
    how: Typing,
) -> Option<Command> {
    if SKIP.contains(&typed) {
        return None;
    }
    let all = choices(view, list);
    let shown = page(view, session, list, at);
    let key = whole(typed, 1, 9).and_then(|n| usize::try_from(n).ok());
    // A cage may be called by its number as painted, or its whole code, where the list has it.
    let by_code = || {
        all.iter()
            .find(|(label, _)| label.eq_ignore_ascii_case(typed))
    };
    let chosen = match key {
        Some(key) if Some(key) == shown.more_key() => {
            session.turn(Place::List(list.clone(), at.saturating_add(1)));
            return None;
        }
        Some(key) if key <= shown.count => all.get(shown.start + key - 1),
        _ => by_code(),
    };
    let Some((_, goes)) = chosen.cloned() else {
        not_valid(view, session);
        return None;
    };
    go(view, session, goes, how)
}

pub(crate) fn go(
    view: &View<'_>,
    session: &mut Session,
    goes: Goes,
    how: Typing,
) -> Option<Command> {
    match goes {
        Goes::To(Place::List(List::Units(act), _))
            if choices(view, &List::Units(act)).is_empty() =>
        {
            let text = view.plain("no-cage");
            session.go(Place::Read { text, page: 0 });
        }
        Goes::To(place) => session.go(place),
        Goes::Round => {
            session.skipped.clear();
            next_to_weigh(view, session, how);
        }
        Goes::Say(line) => return Some(Command::Say(addressed(view, session, &line))),
        Goes::Copies(on) => return Some(Command::Copies(on)),
        Goes::Owner(no) => {
            session.owner = Some(no);
            session.places.pop();
        }
        Goes::GoOn => {
            if let Some(old) = session.broken_off.take() {
                let owner = session.owner;
                *session = *old;
                session.owner = session.owner.or(owner);
            }
        }
        Goes::Anew => {
            session.broken_off = None;
            session.places.pop();
        }
    }
    None
}

/// The next laying cage without an entry today, or the word that there is none.
fn next_to_weigh(view: &View<'_>, session: &mut Session, how: Typing) {
    let left = view.to_weigh();
    let next = left.iter().find(|unit| !session.skipped.contains(unit));
    match next {
        Some(unit) => session.go(Place::Weigh {
            unit: *unit,
            round: true,
        }),
        // Dialled, the cage is named next.
        None if matches!(how, Typing::Dialled { more: true }) => {
            session.go(Place::List(List::Units(Act::Eggs), 0));
        }
        None => {
            let key = if session.skipped.is_empty() && session.headline.is_empty() {
                "round-none"
            } else {
                "round-done"
            };
            session.round = false;
            let text = view.plain(key);
            session.go(Place::Read { text, page: 0 });
        }
    }
}

/// A weight, the next cage, or, dialled with more to come, another cage by its number.
fn weigh(
    view: &View<'_>,
    session: &mut Session,
    unit: UnitCode,
    round: bool,
    typed: &str,
    how: Typing,
) {
    if SKIP.contains(&typed) {
        session.places.pop();
        if round {
            session.skip(unit);
            next_to_weigh(
                view,
                session,
                Typing::Session {
                    star_is_point: false,
                },
            );
        }
        return;
    }
    if let (true, Typing::Dialled { more: true }) = (round, how) {
        return by_number(view, session, typed);
    }
    let grams = if typed == NOTHING {
        Some("0".to_owned())
    } else {
        weight(typed, how)
    };
    let Some(grams) = grams else {
        return not_valid(view, session);
    };
    session.round = round;
    let Goes::To(place) = sure(format!("{unit} {grams}g"), true) else {
        return;
    };
    session.go(place);
}

/// The cage with that number; where several letters have it, a list of them.
fn by_number(view: &View<'_>, session: &mut Session, typed: &str) {
    let number = whole(typed, 1, CAGE_MOST).and_then(|n| u16::try_from(n).ok());
    let fitting: Vec<UnitCode> = view
        .farm
        .running()
        .map(|(unit, _)| unit.code)
        .filter(|code| Some(code.number()) == number)
        .collect();
    match fitting.as_slice() {
        [only] => session.turn(Place::Weigh {
            unit: *only,
            round: false,
        }),
        [] => {
            session.turn(Place::List(List::Units(Act::Eggs), 0));
            session.headline = view.plain("no-cage");
            session.wrong = true;
        }
        _ => session.turn(Place::List(List::Units(Act::Eggs), 0)),
    }
}

fn confirm(
    view: &View<'_>,
    session: &mut Session,
    line: String,
    days: Option<u8>,
    dated: bool,
    typed: &str,
) -> Option<Command> {
    match typed {
        "1" => {
            let whole = match days {
                Some(days) => format!("{line} -{days}"),
                None => line,
            };
            session.places.clear();
            let owner = session.owner;
            if view.people.len() > 1 && owner.is_none() {
                session.go(Place::List(List::Whose, 0));
            }
            Some(Command::Say(addressed(view, session, &whole)))
        }
        "2" if dated => {
            session.go(Place::DaysBack { line });
            None
        }
        _ => {
            not_valid(view, session);
            None
        }
    }
}

fn answer(
    view: &View<'_>,
    session: &mut Session,
    addable: bool,
    answerable: bool,
    typed: &str,
) -> Option<Command> {
    let verb = match typed {
        "1" if answerable => Verb::Yes,
        "2" => Verb::No,
        "3" if addable => Verb::Add,
        _ => {
            not_valid(view, session);
            return None;
        }
    };
    session.places.pop();
    let word = view.word(verb);
    Some(Command::Say(addressed(view, session, &word)))
}

/// A line for the farm that the session is about.
fn addressed(view: &View<'_>, session: &Session, line: &str) -> String {
    let shared = session.owner.filter(|_| view.people.len() > 1);
    match session.speaks_for.or(shared) {
        Some(no) => format!("{} {no} {line}", view.word(Verb::For)),
        None => line.to_owned(),
    }
}

/// See [`crate::menu::told`].
pub(crate) fn told(view: &View<'_>, session: &mut Session, told: &Told) {
    let asked = told.outcome == Outcome::Asked;
    if asked && let Some(question) = &view.question {
        session.go(match question.place() {
            Place::Asked {
                addable,
                answerable,
                ..
            } => Place::Asked {
                text: told.text.clone(),
                addable,
                answerable,
            },
            pin => pin,
        });
        return;
    }
    if session.round && told.outcome != Outcome::Unreadable {
        session.headline.clone_from(&told.text);
        next_to_weigh(
            view,
            session,
            Typing::Session {
                star_is_point: false,
            },
        );
        if let Place::Read { text, .. } = session.place() {
            // The last of the round: what the desk says is worth its own screen.
            session.turn(Place::Read {
                text: format!("{} {text}", told.text).trim().to_owned(),
                page: 0,
            });
            session.headline.clear();
        }
        return;
    }
    let text = if told.text.is_empty() {
        view.plain("done")
    } else {
        told.text.clone()
    };
    session.go(Place::Read { text, page: 0 });
}
