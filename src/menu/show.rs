//! The screen of a place: a headline, what is asked, the choices with their numbers, and the way back, in as many septets as the network shows.
//!
//! What does not fit is cut at a sentence or a word, never inside a number. This room does not know what a choice does.

use crate::domain::said::Verb;
use crate::menu::list::choices;
use crate::menu::{Act, List, Place, Session, Typed, View};
use crate::units::septets::{septets, septets_of};

/// Choices on one screen.
pub(crate) const CHOICES_MOST: usize = 5;
/// Letters of a label: a member's name may be longer.
const LABEL_MOST: usize = 24;
/// Septets left to a headline at the least: "Saved C4 12.5g." and a little.
const HEADLINE_LEAST: usize = 24;

/// One page of a list.
pub(crate) struct Page {
    /// Place of the first choice shown.
    pub(crate) start: usize,
    /// How many are shown.
    pub(crate) count: usize,
    /// Others follow.
    pub(crate) more: bool,
}

impl Page {
    /// The key that turns the page, where there is one.
    pub(crate) fn more_key(&self) -> Option<usize> {
        self.more.then_some(self.count + 1)
    }
}

/// The screen, at most [`View::septets`].
pub(crate) fn screen(view: &View<'_>, session: &Session) -> String {
    let (body, options) = parts(view, session);
    let tail = tail(&options);
    let room = view.septets.saturating_sub(length(&tail));
    let mut head = String::new();
    if !session.headline.is_empty() {
        let left = room.saturating_sub(length(&body) + 1);
        head = cut(&session.headline, left.max(HEADLINE_LEAST.min(room)));
        if !head.is_empty() {
            head.push('\n');
        }
    }
    let body = cut(&body, room.saturating_sub(length(&head)));
    // What the alphabet lacks would make a screen of eighty letters (3GPP TS 23.038, UCS2).
    let text: String = format!("{head}{body}{tail}")
        .chars()
        .map(|c| if septets_of(c).is_some() { c } else { '?' })
        .collect();
    // A screen is cut rather than sent too long.
    cut_hard(text.trim(), view.septets)
}

fn tail(options: &[String]) -> String {
    options.iter().map(|option| format!("\n{option}")).collect()
}

/// What is asked, and the options under it.
fn parts(view: &View<'_>, session: &Session) -> (String, Vec<String>) {
    let back = || format!("0 {}", view.plain("back"));
    let numbered = |key: &str, no: u8| format!("{no} {}", view.plain(key));
    match session.place() {
        Place::List(list, at) => {
            let shown = page(view, session, &list, at);
            (
                title(view, session, &list),
                options(view, session, &list, &shown),
            )
        }
        Place::Weigh { unit, round } => {
            let unit = ("unit", unit.to_string().into());
            let how = view.plain(if round { "weigh-next" } else { "weigh-how" });
            (view.say("weigh", &[unit]), vec![how, back()])
        }
        Place::Type(what) => (prompt(view, &what), vec![back()]),
        Place::Sure { line, days, dated } => {
            let line = match days {
                Some(days) => view.say(
                    "on-day",
                    &[("line", line.into()), ("days", u32::from(days).into())],
                ),
                None => line,
            };
            let mut options = vec![numbered("save", 1)];
            if dated {
                options.push(numbered("other-day", 2));
            }
            options.push(back());
            (view.say("sure", &[("line", line.into())]), options)
        }
        Place::DaysBack { .. } => (view.plain("days-back"), vec![back()]),
        Place::Asked {
            text,
            addable,
            answerable,
        } => {
            let mut options = Vec::new();
            if answerable {
                options.push(numbered(if addable { "replace" } else { "yes" }, 1));
            }
            options.push(numbered(if addable { "keep" } else { "no" }, 2));
            if addable {
                options.push(numbered("add", 3));
            }
            options.push(back());
            (text, options)
        }
        Place::Read { text, page } => {
            let footer = [numbered("more", 1), back()];
            let room = view.septets.saturating_sub(length(&tail(&footer)));
            let pages = pages(&text, room);
            let at = usize::from(page).min(pages.len().saturating_sub(1));
            let body = pages.get(at).cloned().unwrap_or_default();
            let more = at + 1 < pages.len();
            let options = footer.into_iter().skip(usize::from(!more)).collect();
            (body, options)
        }
    }
}

fn title(view: &View<'_>, session: &Session, list: &List) -> String {
    match list {
        List::First => first_title(view, session),
        List::Units(act) => view.say("choose", &[("what", act_name(view, *act).into())]),
        List::StockBy(unit) | List::Kind(unit, _) => {
            view.say("choose", &[("what", unit.to_string().into())])
        }
        List::Whose => view.plain("whose"),
        List::GoOn => view.plain("go-on"),
        List::Stranger => view.plain("stranger"),
        List::Care => view.plain("group-care"),
        List::Cages => view.plain("group-cages"),
        List::Seen => view.plain("group-seen"),
        List::Reminders => view.plain("group-reminders"),
        List::Messages => {
            let on = view.speaker.is_some_and(|member| member.menu_copies);
            view.plain(if on { "copy-is-on" } else { "copy-is-off" })
        }
        List::Langs => view.plain("item-lang"),
        List::Help => view.plain("item-help"),
    }
}

/// Whose farm it is, and how many cages wait to be weighed.
fn first_title(view: &View<'_>, session: &Session) -> String {
    let left = view.to_weigh().len();
    let name = session.whose().map_or_else(
        || view.rules.name.clone(),
        |no| {
            let member = view.people.iter().find(|member| member.number == no);
            format!("{no} {}", member.map_or("", |member| member.name.as_str()))
        },
    );
    let name = label(name.trim());
    let left = u32::try_from(left).unwrap_or(u32::MAX);
    view.say("title", &[("name", name.into()), ("left", left.into())])
}

fn act_name(view: &View<'_>, act: Act) -> String {
    let verb = match act {
        Act::Care(job) => {
            let row = crate::grammar::registry::VERBS
                .iter()
                .find(|row| row.care == Some(job));
            row.map_or(Verb::Bait, |row| row.verb)
        }
        Act::Eggs => Verb::Eggs,
        Act::Add => Verb::Add,
        Act::Fix => Verb::Fix,
        Act::Stock => Verb::Stock,
        Act::Retire => Verb::Retire,
        Act::Dead => Verb::Dead,
        Act::Ants => Verb::Ants,
        Act::State => return view.plain("cage-state"),
    };
    view.plain(&crate::menu::keys::item(verb))
}

fn prompt(view: &View<'_>, what: &Typed) -> String {
    let of = |key: &str, what: String| view.say(key, &[("what", what.into())]);
    match what {
        Typed::Weight(_, unit) => of("type-weight", unit.to_string()),
        Typed::NewCage => view.plain("new-cage-number"),
        Typed::Count(unit) => of("type-count", unit.to_string()),
        Typed::PupaeWeight(unit) => of("type-pupae-weight", unit.to_string()),
        Typed::Dead(unit) => of("type-dead", unit.to_string()),
        Typed::Coldest => view.plain("type-coldest"),
        Typed::Hottest(_) => view.plain("type-hottest"),
        Typed::Plan => view.plain("type-plan"),
        Typed::Days => view.plain("type-days"),
        Typed::Hour => view.plain("type-hour"),
        Typed::Pin => match &view.question {
            Some(question) if question.pin => question.text.clone(),
            _ => view.plain("type-pin"),
        },
        Typed::Member | Typed::Giver => view.plain("type-member"),
        Typed::Got(no) => of("type-got", no.to_string()),
        Typed::JoinCode => view.plain("join-code"),
        Typed::JoinName(_) => view.plain("join-name"),
    }
}

/// The page `at` of a list, as many choices as fit.
pub(crate) fn page(view: &View<'_>, session: &Session, list: &List, at: u8) -> Page {
    let labels: Vec<String> = choices(view, list).iter().map(|(l, _)| label(l)).collect();
    let head = length(&title(view, session, list)) + 1 + view.plain("back").len() + 2;
    let more = view.plain("more").len() + 3;
    let room = view.septets.saturating_sub(head);
    let mut start = 0;
    let mut page = 0;
    loop {
        let left = labels.len() - start;
        let fits = |count: usize, extra: usize| {
            let shown = labels.get(start..start + count).unwrap_or_default();
            shown.iter().map(|l| length(l) + 3).sum::<usize>() + extra <= room
        };
        let all = left <= CHOICES_MOST && fits(left, 0);
        let count = if all {
            left
        } else {
            let most = left.min(CHOICES_MOST - 1);
            (1..=most).rev().find(|n| fits(*n, more)).unwrap_or(1)
        };
        if page >= at || all {
            return Page {
                start,
                count,
                more: !all,
            };
        }
        start += count;
        page += 1;
    }
}

fn options(view: &View<'_>, session: &Session, list: &List, shown: &Page) -> Vec<String> {
    let all = choices(view, list);
    let labels = all.iter().skip(shown.start).take(shown.count);
    let mut options: Vec<String> = labels
        .enumerate()
        .map(|(at, (text, _))| format!("{} {}", at + 1, label(text)))
        .collect();
    if let Some(key) = shown.more_key() {
        options.push(format!("{key} {}", view.plain("more")));
    }
    let first = session.places.is_empty() && shown.start == 0;
    if !first && session.places.len() + shown.start > usize::from(view.people.is_empty()) {
        options.push(format!("0 {}", view.plain("back")));
    }
    options
}

/// A label in plain letters, short.
fn label(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|c| {
            if septets(&c.to_string()) == Some(1) {
                c
            } else {
                '?'
            }
        })
        .take(LABEL_MOST)
        .collect();
    plain.trim_end().to_owned()
}

/// Septets; a character outside the alphabet counts as the most that one may.
fn length(text: &str) -> usize {
    text.chars().map(|c| septets_of(c).unwrap_or(1)).sum()
}

/// As many whole sentences as fit, else as many words, else nothing.
fn cut(text: &str, most: usize) -> String {
    if length(text) <= most {
        return text.to_owned();
    }
    let mut best = 0;
    for (at, _) in text.match_indices(['.', '?', '!']) {
        let ends = text
            .get(at + 1..)
            .is_none_or(|rest| rest.is_empty() || rest.starts_with(' '));
        if ends && length(&text[..=at]) <= most {
            best = at + 1;
        }
    }
    if best > 0 {
        return text[..best].to_owned();
    }
    let mut words = String::new();
    for word in text.split_inclusive(char::is_whitespace) {
        if length(&words) + length(word.trim_end()) + 3 > most {
            break;
        }
        words.push_str(word);
    }
    let words = words.trim_end();
    if words.is_empty() {
        String::new()
    } else {
        format!("{words}...")
    }
}

/// The last resort: whole words from the start.
fn cut_hard(text: &str, most: usize) -> String {
    if length(text) <= most {
        return text.to_owned();
    }
    let mut kept = String::new();
    for word in text.split_inclusive(char::is_whitespace) {
        if length(&kept) + length(word) > most {
            break;
        }
        kept.push_str(word);
    }
    kept.trim_end().to_owned()
}

/// A long text in pages of whole words.
fn pages(text: &str, most: usize) -> Vec<String> {
    let mut pages = vec![String::new()];
    for word in text.split_whitespace() {
        let fits = pages
            .last()
            .is_some_and(|page| length(page) + length(word) < most || page.is_empty());
        if !fits {
            pages.push(String::new());
        }
        if let Some(page) = pages.last_mut() {
            if !page.is_empty() {
                page.push(' ');
            }
            page.push_str(word);
        }
    }
    pages
}
