//! Where a network puts things: fields of a JSON body, a form or a query string, found by name or by JSON pointer.
//!
//! This room does not know what a field means. What it reads is bounded, and nothing in it can fail but with a sentence.

use crate::links::http::halves::mended;
use serde_json::Value;

/// How a network writes what it posts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// A JSON object in the body.
    Json,
    /// `application/x-www-form-urlencoded` in the body.
    Form,
    /// The query string of the address; the body is passed over.
    Query,
}

impl Format {
    /// The format of a word of the settings.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        match word {
            "json" => Some(Self::Json),
            "form" => Some(Self::Form),
            "query" => Some(Self::Query),
            _ => None,
        }
    }
}

/// Pairs of a form that are read: a network sends a dozen fields.
const PAIRS_MOST: usize = 100;
/// Steps of a JSON pointer: deeper bodies are not messages.
const STEPS_MOST: usize = 16;

/// Whole numbers up to here are exact in a double (IEEE 754: 53 bits).
const EXACT_BELOW: f64 = 9_007_199_254_740_992.0;

/// Where one thing stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// The network does not say it.
    Nowhere,
    /// It is always this.
    Constant(String),
    /// A field of that name.
    Name(String),
    /// A JSON pointer (RFC 6901).
    Pointer(String),
}

impl Place {
    /// Reads a setting: empty, `=constant`, `/json/pointer/0` or the name of a field.
    ///
    /// # Errors
    /// Says what was expected.
    pub fn new(text: &str) -> Result<Self, String> {
        if text.is_empty() {
            return Ok(Self::Nowhere);
        }
        if let Some(constant) = text.strip_prefix('=') {
            return Ok(Self::Constant(constant.to_owned()));
        }
        if !text.starts_with('/') {
            return Ok(Self::Name(text.to_owned()));
        }
        let bad_escape = text
            .split('~')
            .skip(1)
            .any(|rest| !rest.starts_with(['0', '1']));
        if bad_escape || text.matches('/').count() > STEPS_MOST {
            return Err(format!(
                "expected a JSON pointer of at most {STEPS_MOST} steps such as /message/from, where ~1 stands for / and ~0 for ~"
            ));
        }
        Ok(Self::Pointer(text.to_owned()))
    }

    /// The name that a network's engineer knows it by.
    #[must_use]
    pub fn shown(&self) -> &str {
        match self {
            Self::Nowhere => "nothing",
            Self::Constant(text) | Self::Name(text) | Self::Pointer(text) => text,
        }
    }
}

/// Messages that one post may bring; a network that holds more back sends them in several.
pub const MESSAGES_MOST: usize = 100;

/// Where the messages of one post stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Each {
    /// One post is one message.
    Whole,
    /// The body is a list of them.
    Body,
    /// There is a list of them at that place.
    List(Place),
}

impl Each {
    /// Reads a setting: empty, `.` for the body, or the place of a list.
    ///
    /// # Errors
    /// Says what was expected.
    pub fn new(text: &str) -> Result<Self, String> {
        match (text, Place::new(text)?) {
            (".", _) => Ok(Self::Body),
            (_, Place::Nowhere) => Ok(Self::Whole),
            (_, Place::Constant(_)) => {
                Err("expected the place of a list, or . for the body".to_owned())
            }
            (_, place) => Ok(Self::List(place)),
        }
    }

    fn list<'p>(&self, posted: &'p Value) -> Option<&'p Vec<Value>> {
        match self {
            Self::Whole | Self::List(Place::Nowhere | Place::Constant(_)) => None,
            Self::Body => posted.as_array(),
            Self::List(Place::Name(name)) => posted.get(name)?.as_array(),
            Self::List(Place::Pointer(pointer)) => posted.pointer(pointer)?.as_array(),
        }
    }
}

/// What was posted.
#[derive(Clone, Debug, PartialEq)]
pub enum Posted {
    /// JSON: an object, or a list of messages.
    Json(Value),
    /// Names and values in order.
    Pairs(Vec<(String, String)>),
}

impl Posted {
    /// Reads a request.
    ///
    /// # Errors
    /// Says what was expected; the posted text is not repeated.
    pub fn read(format: Format, body: &[u8], query: &str) -> Result<Self, String> {
        match format {
            Format::Json => {
                if !body.trim_ascii_start().starts_with(b"{") {
                    return Err("expected a JSON object".to_owned());
                }
                Self::read_json(body)
            }
            Format::Form => read_pairs(body).map(Self::Pairs),
            Format::Query => read_pairs(query.as_bytes()).map(Self::Pairs),
        }
    }

    /// Reads JSON of any kind: a post of several messages may be a list.
    ///
    /// # Errors
    /// Says where it is none.
    pub fn read_json(body: &[u8]) -> Result<Self, String> {
        // serde_json stops at 128 levels by itself.
        serde_json::from_slice(&mended(body))
            .map(Self::Json)
            .map_err(|why| format!("not JSON at line {} column {}", why.line(), why.column()))
    }

    /// The messages of a post that brings several, in their order.
    ///
    /// # Errors
    /// Says what was expected; the posted text is not repeated.
    pub fn each(&self, each: &Each) -> Result<Vec<Self>, String> {
        let list = match self {
            Self::Json(json) => each.list(json),
            Self::Pairs(_) => None,
        };
        let list = list.filter(|list| list.len() <= MESSAGES_MOST);
        let list = list.ok_or_else(|| {
            format!(
                "expected a list of at most {MESSAGES_MOST} messages where the link's settings say"
            )
        })?;
        Ok(list.iter().cloned().map(Self::Json).collect())
    }

    /// A list that both pointers go into, by the same number, and that holds more than that: another message, which would be lost without a
    /// word. The list's pointer.
    #[must_use]
    pub fn passes_over(&self, one: &Place, other: &Place) -> Option<String> {
        let (Self::Json(json), Place::Pointer(one), Place::Pointer(other)) = (self, one, other)
        else {
            return None;
        };
        let steps = one.split('/').zip(other.split('/')).skip(1);
        let mut list = String::new();
        for (step, _) in steps.take_while(|(step, other)| step == other) {
            let found = json.pointer(&list).and_then(Value::as_array);
            if found.is_some_and(|found| found.len() > 1) {
                return Some(list);
            }
            list.push('/');
            list.push_str(step);
        }
        None
    }

    /// The text at a place; numbers and truth values as JSON writes them. None where there is nothing, `null` or a list; nor where a form says two
    /// different things.
    #[must_use]
    pub fn text(&self, place: &Place) -> Option<String> {
        match (self, place) {
            (_, Place::Nowhere) => None,
            (_, Place::Constant(text)) => Some(text.clone()),
            (Self::Json(json), Place::Name(name)) => plain(json.get(name)?),
            (Self::Json(json), Place::Pointer(pointer)) => plain(json.pointer(pointer)?),
            (Self::Pairs(pairs), Place::Name(name) | Place::Pointer(name)) => {
                let mut found = pairs.iter().filter(|(given, _)| given == name);
                let (_, first) = found.next()?;
                found
                    .all(|(_, other)| other == first)
                    .then(|| first.clone())
            }
        }
    }
}

fn plain(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        // Read as a fraction, a longer number has lost its last digits: two ids would become one, and the second message a copy of the first.
        Value::Number(number)
            if number
                .as_f64()
                .is_some_and(|n| number.is_f64() && n.abs() >= EXACT_BELOW) =>
        {
            None
        }
        Value::Number(number) => Some(number.to_string()),
        Value::Bool(yes) => Some(yes.to_string()),
        Value::Null | Value::Array(_) | Value::Object(_) => None,
    }
}

/// Names and values of a form (WHATWG URL, section 5.1): `+` is a space, `%41` a byte.
fn read_pairs(form: &[u8]) -> Result<Vec<(String, String)>, String> {
    let mut pairs = Vec::new();
    for pair in form.split(|b| *b == b'&').filter(|pair| !pair.is_empty()) {
        if pairs.len() == PAIRS_MOST {
            return Err(format!("expected at most {PAIRS_MOST} fields"));
        }
        let at = pair.iter().position(|b| *b == b'=').unwrap_or(pair.len());
        let (name, value) = pair.split_at(at);
        let value = value.get(1..).unwrap_or_default();
        let (name, value) = decoded(name).zip(decoded(value)).ok_or_else(|| {
            "expected name=value pairs in UTF-8 with %XX for other bytes".to_owned()
        })?;
        pairs.push((name, value));
    }
    Ok(pairs)
}

fn decoded(text: &[u8]) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.iter();
    let digit = |b: Option<&u8>| {
        char::from(*b?)
            .to_digit(16)
            .and_then(|n| u8::try_from(n).ok())
    };
    while let Some(b) = rest.next() {
        bytes.push(match b {
            b'+' => b' ',
            b'%' => digit(rest.next())? << 4 | digit(rest.next())?,
            other => *other,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(text: &str, name: &str) -> Option<String> {
        let posted = Posted::read(Format::Form, text.as_bytes(), "").ok()?;
        posted.text(&Place::new(name).unwrap())
    }

    #[test]
    fn pointers_follow_the_examples_of_the_standard() {
        // RFC 6901, section 5.
        let body = br#"{"foo":["bar","baz"],"":0,"a/b":1,"c%d":2,"m~n":8," ":7}"#;
        let posted = Posted::read(Format::Json, body, "").unwrap();
        for (pointer, expected) in [
            ("/foo/0", "bar"),
            ("/", "0"),
            ("/a~1b", "1"),
            ("/c%d", "2"),
            ("/m~0n", "8"),
            ("/ ", "7"),
        ] {
            let place = Place::new(pointer).unwrap();
            assert_eq!(posted.text(&place).as_deref(), Some(expected), "{pointer}");
        }
        assert_eq!(posted.text(&Place::new("/foo").unwrap()), None, "a list");
        assert_eq!(
            posted.text(&Place::new("=x").unwrap()).as_deref(),
            Some("x")
        );
        assert!(Place::new("/a~2").is_err());
        assert!(Place::new(&"/a".repeat(17)).is_err());
    }

    #[test]
    fn forms_are_read_as_browsers_write_them() {
        let body = "from=%2B255700000101&text=C4+12.5%0Aasante&empty=&flag&twice=1&twice=2";
        assert_eq!(form(body, "from").as_deref(), Some("+255700000101"));
        assert_eq!(form(body, "text").as_deref(), Some("C4 12.5\nasante"));
        assert_eq!(form(body, "empty").as_deref(), Some(""));
        assert_eq!(form(body, "flag").as_deref(), Some(""));
        assert_eq!(form(body, "twice"), None, "which one?");
        for broken in ["a=%4", "a=%zz", "a=%ff", "%ff=a"] {
            assert_eq!(form(broken, "a"), None, "{broken}");
            assert!(Posted::read(Format::Form, broken.as_bytes(), "").is_err());
        }
        assert!(Posted::read(Format::Form, "a=1&".repeat(101).as_bytes(), "").is_err());
    }

    #[test]
    fn several_messages_in_one_post_are_told_apart_and_none_is_passed_over() {
        let body = br#"{"data":[{"n":1,"t":["a","b"]},{"n":2,"t":["c"]}]}"#;
        let place = |text: &str| Place::new(text).unwrap();
        let posted = Posted::read(Format::Json, body, "").unwrap();
        let over = |one, other| posted.passes_over(&place(one), &place(other));
        assert_eq!(over("/data/0/n", "/data/0/t/0").as_deref(), Some("/data"));
        assert_eq!(over("/data/0/n", "/data/1/n"), None, "both are looked at");
        assert_eq!(over("n", "/data/0/n"), None);
        let one = Posted::read(Format::Json, br#"{"data":[{"n":1,"t":["a","b"]}]}"#, "").unwrap();
        assert_eq!(
            one.passes_over(&place("/data/0/n"), &place("/data/0/t/0")),
            None
        );
        for (each, body) in [
            ("/data", &body[..]),
            ("data", body),
            (".", br#"[{"n":1,"t":["a"]},{"n":2,"t":[]}]"#),
        ] {
            let found = Posted::read_json(body)
                .unwrap()
                .each(&Each::new(each).unwrap())
                .unwrap();
            let numbers: Vec<_> = found
                .iter()
                .map(|one| one.text(&place("n")).unwrap())
                .collect();
            assert_eq!(numbers, ["1", "2"], "{each}");
        }
        let list = Each::new("/data").unwrap();
        let many = format!("{{\"data\":[{}0]}}", "0,".repeat(MESSAGES_MOST));
        for bad in ["{}", "[]", r#"{"data":{}}"#, "{", &many] {
            let posted = Posted::read_json(bad.as_bytes());
            assert!(
                posted.and_then(|posted| posted.each(&list)).is_err(),
                "{bad}"
            );
        }
        assert!(Each::new("=x").is_err());
    }

    #[test]
    fn a_number_that_was_not_read_to_its_last_digit_is_none() {
        let text = |number: &str| {
            let body = format!("{{\"id\":{number}}}");
            let posted = Posted::read(Format::Json, body.as_bytes(), "").unwrap();
            posted.text(&Place::new("id").unwrap())
        };
        assert_eq!(
            text("18446744073709551615").as_deref(),
            Some("18446744073709551615")
        );
        assert_eq!(text("1773119400.25").as_deref(), Some("1773119400.25"));
        assert_eq!(text("123456789012345678901"), None);
    }

    #[test]
    fn deep_json_is_refused_and_kills_nothing() {
        let deep = format!("{{\"a\":{}", "[".repeat(50_000));
        assert!(Posted::read(Format::Json, deep.as_bytes(), "").is_err());
    }
}
