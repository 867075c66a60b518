//! The phone page as HTML, from plain values.
//!
//! Every value is escaped where it is put in. This room does not know where the values come from.

use crate::units::septets::septets_of;
use crate::web::phone::Owner;
use crate::web::phone::thread::Bubble;
use chrono::DateTime;
use chrono_tz::Tz;
use std::fmt::Write;

/// What the page shows.
pub struct View<'a> {
    /// Said at the top: the data is invented.
    pub notice: &'a str,
    /// The demo's now.
    pub now: DateTime<Tz>,
    /// Every phone.
    pub owners: &'a [Owner],
    /// The one in the visitor's hand.
    pub owner: &'a Owner,
    /// Its thread, oldest first.
    pub lines: &'a [Bubble],
    /// The screen of an open session, which stands in the thread's place.
    pub screen: Option<&'a str>,
    /// For the times of the thread.
    pub zone: Tz,
}

/// The page with its places named in double braces.
const PAGE: &str = include_str!("../assets/phone.html");
/// The handset's glass with the thread, and with a session.
const THREAD: &str = include_str!("../assets/thread.html");
const SESSION: &str = include_str!("../assets/session.html");

/// The whole page.
#[must_use]
pub fn write(view: &View<'_>) -> String {
    let digits = view.owner.number.full().trim_start_matches('+');
    let glass = [
        ("digits", escape(digits)),
        ("thread", thread(view)),
        ("gsm", escape(&alphabet())),
        ("screen", escape(view.screen.unwrap_or_default())),
    ];
    let glass = fill(
        if view.screen.is_some() {
            SESSION
        } else {
            THREAD
        },
        &glass,
    );
    let places: [(&str, String); 10] = [
        ("notice", escape(view.notice)),
        ("now", view.now.format("%a %-d %B %Y, %H:%M").to_string()),
        ("clock", view.now.format("%H:%M").to_string()),
        ("options", options(view)),
        ("digits", escape(digits)),
        ("number", escape(view.owner.number.full())),
        ("label", escape(&view.owner.label)),
        ("about", escape(&view.owner.about)),
        ("glass", glass),
        ("lines", lines(&view.owner.lines)),
    ];
    fill(PAGE, &places)
}

/// Fills each `{{place}}` once, from left to right; what a value holds is not looked at again.
fn fill(page: &str, places: &[(&str, String)]) -> String {
    let mut out = String::with_capacity(page.len() * 2);
    let mut rest = page;
    while let Some((before, after)) = rest.split_once("{{") {
        out.push_str(before);
        let (name, after) = after.split_once("}}").unwrap_or((after, ""));
        let value = places.iter().find(|(place, _)| *place == name);
        out.push_str(value.map_or("", |(_, value)| value));
        rest = after;
    }
    out.push_str(rest);
    out
}

fn options(view: &View<'_>) -> String {
    let mut out = String::new();
    for owner in view.owners {
        let digits = owner.number.full().trim_start_matches('+');
        let chosen = if owner.number == view.owner.number {
            " selected"
        } else {
            ""
        };
        let _ = write!(
            out,
            "<option value=\"{}\"{chosen}>{}</option>",
            escape(digits),
            escape(&owner.label)
        );
    }
    out
}

fn thread(view: &View<'_>) -> String {
    if view.lines.is_empty() {
        return "<p class=\"day\">No messages yet. Type one below, or try a line.</p>".to_owned();
    }
    let mut out = String::new();
    let mut day = None;
    for line in view.lines {
        let at = line.at.with_timezone(&view.zone);
        if day != Some(at.date_naive()) {
            let _ = write!(out, "<p class=\"day\">{}</p>", at.format("%a %-d %b"));
            day = Some(at.date_naive());
        }
        let (class, who) = match line.mine {
            true => ("sent", "You"),
            false => ("answer", "clutchline"),
        };
        let _ = write!(
            out,
            "<div class=\"line {class}\"><span class=\"unseen\">{who}: </span>{}<time>{}</time></div>",
            escape(&line.text),
            at.format("%H:%M")
        );
    }
    out
}

fn lines(lines: &[String]) -> String {
    let mut out = String::new();
    for line in lines {
        let line = escape(line);
        let _ = write!(
            out,
            "<li><button name=\"line\" value=\"{line}\"><code>{line}</code></button></li>"
        );
    }
    out
}

/// The GSM alphabet for the page's counter: what takes one septet, a space-free mark, what takes two.
fn alphabet() -> String {
    // Everything in it lies below U+20AD; the last is the euro sign.
    let of = |septets| {
        ('\u{1}'..='\u{20ac}')
            .filter(move |c| *c != '\u{1b}' && !c.is_control() && septets_of(*c) == Some(septets))
            .collect::<String>()
    };
    format!("{}\u{0}{}", of(1), of(2)).replace('\u{0}', "\u{2003}")
}

/// Text for an element or a quoted attribute.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::phone::PhoneNumber;

    #[test]
    fn nothing_typed_becomes_markup() {
        let owner = Owner {
            number: PhoneNumber::new("+255700000101").unwrap(),
            member: None,
            label: "A <b>".to_owned(),
            about: "\"quoted\"".to_owned(),
            lines: vec!["C4 12.5'".to_owned()],
        };
        let zone = chrono_tz::Africa::Dar_es_Salaam;
        let at = "2026-03-10T05:10:00Z"
            .parse::<DateTime<chrono::Utc>>()
            .unwrap();
        let line = Bubble {
            mine: true,
            at,
            text: "<script>{{notice}}</script>".to_owned(),
        };
        let page = write(&View {
            notice: "Invented.",
            now: at.with_timezone(&zone),
            owners: std::slice::from_ref(&owner),
            owner: &owner,
            lines: &[line],
            screen: None,
            zone,
        });
        assert!(page.contains("&lt;script&gt;{{notice}}&lt;/script&gt;<time>08:10</time>"));
        assert!(page.contains("A &lt;b&gt;") && page.contains("value=\"C4 12.5&#39;\""));
        assert!(page.contains("Tue 10 March 2026, 08:10") && page.contains("Invented."));
        assert!(page.contains("selected"));
    }

    #[test]
    fn the_counter_gets_the_whole_alphabet() {
        let alphabet = alphabet();
        let (one, two) = alphabet.split_once('\u{2003}').unwrap();
        // 128 places less escape, line feed and carriage return; ten in the extension less form feed (3GPP TS 23.038).
        assert_eq!(one.chars().count(), 125);
        assert_eq!(two.chars().count(), 9);
        assert!(one.contains('@') && two.contains('€'));
    }
}
