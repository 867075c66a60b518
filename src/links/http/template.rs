//! Texts with places to fill, such as `{to}`: each value is written so that it cannot leave its place, whatever is in it.
//!
//! Pure. What a place may hold and how it is escaped depends on where the text goes: JSON, a form or an address, XML, a header, plain text.

use std::fmt::Write;

/// Where a filled text goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    /// JSON: each value becomes a whole string with its quotes.
    Json,
    /// A form or an address: everything but letters, digits and `-._~` is percent-encoded (RFC 3986).
    Percent,
    /// XML 1.0: markup becomes entities, characters that XML forbids become spaces.
    Xml,
    /// A header's value: control characters and what is not ASCII are percent-encoded.
    Header,
    /// Plain text: as it is.
    Plain,
}

/// A text with places.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Template {
    target: Target,
    pieces: Vec<Piece>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Piece {
    Text(String),
    /// The place of that number.
    Place(usize),
}

/// Bytes of a template: a page of JSON.
const BYTES_MOST: usize = 8 * 1024;
/// Bytes of a place's name; what is longer between braces is no place.
const NAME_BYTES_MOST: usize = 24;

impl Template {
    /// Takes a text whose places are among `places`; `{other}` of small letters is refused, other braces stay.
    ///
    /// # Errors
    /// Says what is wrong with it.
    pub fn new(text: &str, target: Target, places: &[&str]) -> Result<Self, String> {
        if text.len() > BYTES_MOST {
            return Err(format!("at most {BYTES_MOST} bytes"));
        }
        let mut pieces = Vec::new();
        let mut plain = String::new();
        let mut rest = text;
        while let Some(at) = rest.find('{') {
            let (before, from) = rest.split_at(at);
            plain.push_str(before);
            let Some(name) = named(from) else {
                plain.push('{');
                rest = from.get(1..).unwrap_or_default();
                continue;
            };
            let Some(place) = places.iter().position(|place| *place == name) else {
                let known: Vec<_> = places.iter().map(|place| format!("{{{place}}}")).collect();
                return Err(format!(
                    "there is no place {{{name}}}; there are {}",
                    known.join(", ")
                ));
            };
            pieces.push(Piece::Text(std::mem::take(&mut plain)));
            pieces.push(Piece::Place(place));
            rest = from.get(name.len() + 2..).unwrap_or_default();
        }
        plain.push_str(rest);
        pieces.push(Piece::Text(plain));
        Ok(Self { target, pieces })
    }

    /// Whether it has the place of that number.
    #[must_use]
    pub fn has(&self, place: usize) -> bool {
        self.pieces.contains(&Piece::Place(place))
    }

    /// The text with `values` in their places, in the order that the places were given in. One that is missing is empty.
    #[must_use]
    pub fn fill(&self, values: &[&str]) -> String {
        let mut filled = String::new();
        for piece in &self.pieces {
            match piece {
                Piece::Text(text) => filled.push_str(text),
                Piece::Place(place) => {
                    let value = values.get(*place).copied().unwrap_or_default();
                    self.target.write(value, &mut filled);
                }
            }
        }
        filled
    }
}

/// The name of a place at the start of a text, from `{name}`.
fn named(text: &str) -> Option<&str> {
    let (name, _) = text.strip_prefix('{')?.split_once('}')?;
    let fits = (1..=NAME_BYTES_MOST).contains(&name.len())
        && name.bytes().all(|b| b.is_ascii_lowercase() || b == b'_');
    fits.then_some(name)
}

impl Target {
    fn write(self, value: &str, to: &mut String) {
        match self {
            Self::Json => to.push_str(&serde_json::Value::from(value).to_string()),
            Self::Percent => percent(value, to, |b| {
                b.is_ascii_alphanumeric() || b"-._~".contains(&b)
            }),
            Self::Header => percent(value, to, |b| (b' '..=b'~').contains(&b) && b != b'%'),
            Self::Xml => value.chars().for_each(|c| xml(c, to)),
            Self::Plain => to.push_str(value),
        }
    }
}

fn percent(value: &str, to: &mut String, stays: impl Fn(u8) -> bool) {
    for b in value.bytes() {
        if stays(b) {
            to.push(char::from(b));
        } else {
            let _ = write!(to, "%{b:02X}");
        }
    }
}

fn xml(c: char, to: &mut String) {
    match c {
        '&' => to.push_str("&amp;"),
        '<' => to.push_str("&lt;"),
        '>' => to.push_str("&gt;"),
        '"' => to.push_str("&quot;"),
        '\'' => to.push_str("&apos;"),
        // An attribute's line break would be read as a space.
        '\n' | '\r' | '\t' => {
            let _ = write!(to, "&#{};", u32::from(c));
        }
        // XML 1.0, production 2.
        '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => to.push(' '),
        other => to.push(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::links::http::fields::{Format, Place, Posted};
    use proptest::prelude::*;

    const PLACES: [&str; 2] = ["to", "text"];

    fn filled(text: &str, target: Target, value: &str) -> String {
        let template = Template::new(text, target, &PLACES).unwrap();
        template.fill(&["+255700000101", value])
    }

    #[test]
    fn places_are_found_once_and_other_braces_stay() {
        assert_eq!(
            filled(r#"{"a":{to},"b":{"c":{text}}}"#, Target::Json, "{to} \"x\""),
            r#"{"a":"+255700000101","b":{"c":"{to} \"x\""}}"#
        );
        assert_eq!(
            filled("/s?n={to}&t={text}", Target::Percent, "C4 ä&n=1%\r\n"),
            "/s?n=%2B255700000101&t=C4%20%C3%A4%26n%3D1%25%0D%0A"
        );
        assert_eq!(
            filled("<t n='{to}'>{text}</t>", Target::Xml, "</t>&'\"\u{1}\n"),
            "<t n='+255700000101'>&lt;/t&gt;&amp;&apos;&quot; &#10;</t>"
        );
        assert_eq!(
            filled("id {text}", Target::Header, "a\r\nX: 1%"),
            "id a%0D%0AX: 1%25"
        );
        let unknown = Template::new("{txt}", Target::Plain, &PLACES).unwrap_err();
        assert_eq!(unknown, "there is no place {txt}; there are {to}, {text}");
        assert_eq!(filled("{ {} {A} {", Target::Plain, ""), "{ {} {A} {");
    }

    proptest! {
        #[test]
        fn no_value_leaves_its_place(value in any::<String>(), template in "[ -~\n]{0,60}") {
            let json = filled(r#"{"text":{text},"n":1}"#, Target::Json, &value);
            let read: serde_json::Value = serde_json::from_str(&json).unwrap();
            prop_assert_eq!(&read, &serde_json::json!({"text": &value, "n": 1}));

            let form = filled("a=1&text={text}&b=2", Target::Percent, &value);
            let posted = Posted::read(Format::Form, form.as_bytes(), "").unwrap();
            prop_assert_eq!(posted.text(&Place::Name("text".to_owned())), Some(value.clone()));
            let Posted::Pairs(pairs) = posted else { panic!("a form") };
            prop_assert_eq!(pairs.len(), 3);

            let header = filled("{text}", Target::Header, &value);
            prop_assert!(header.bytes().all(|b| (b' '..=b'~').contains(&b)));

            let xml = filled("{text}", Target::Xml, &value);
            prop_assert!(!xml.contains(['<', '>', '"', '\'', '\n', '\r']));
            let entities = ["&amp;", "&lt;", "&gt;", "&quot;", "&apos;", "&#9;", "&#10;", "&#13;"];
            for (at, _) in xml.match_indices('&') {
                prop_assert!(entities.iter().any(|entity| xml[at..].starts_with(entity)));
            }
            // Whatever an operator writes is a template or a sentence.
            if let Ok(template) = Template::new(&template, Target::Percent, &PLACES) {
                prop_assert!(template.fill(&[&value]).len() <= 80 * (value.len() + 1));
            }
        }

        #[test]
        fn what_is_posted_is_read_or_refused(body in any::<Vec<u8>>(), text in ".{0,80}") {
            for format in [Format::Json, Format::Form, Format::Query] {
                for place in ["", "a", "/a/0", "=x", &text] {
                    let Ok(place) = Place::new(place) else { continue };
                    let posted = Posted::read(format, &body, &text);
                    posted.map(|posted| posted.text(&place)).ok();
                }
            }
        }
    }
}
