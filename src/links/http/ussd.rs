//! One step of a USSD session over HTTP: where a network puts session, number, code and what was typed, and how it wants its answer.
//!
//! Sans IO. Networks hand over either the step just typed or the whole path since the code was dialled; both come out as steps. This room does not
//! know any menu.

use crate::domain::phone::PhoneNumber;
use crate::links::http::fields::{Format, Place, Posted};
use crate::links::http::number::read_number;
use serde_json::{Map, Value};

/// Bytes of a session's id: a UUID twice over; it is part of a stored key.
const SESSION_BYTES_MOST: usize = 128;
/// Bytes of a dialled code.
const CODE_BYTES_MOST: usize = 40;
/// Characters that a phone can type in a session: 182 GSM letters a message (3GPP TS 23.038), and a path of many.
const TYPED_MOST: usize = 1_600;
/// Steps of a whole path; a session of three minutes has a few.
const STEPS_MOST: usize = 64;

/// What `input` holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Typed {
    /// The step just typed; empty on the first.
    Step,
    /// Everything typed since the code, with this between the steps.
    Path(String),
}

/// How the answer is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AnswerShape {
    /// A JSON object with the text and whether the session ends; names or JSON pointers.
    Json {
        /// Where the text goes.
        text: Place,
        /// Where the truth value goes.
        end: Place,
    },
    /// Plain text after one of two words.
    Words {
        /// Before a text that waits for an answer.
        go_on: String,
        /// Before the last text.
        stop: String,
    },
}

/// A network's way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UssdMapping {
    /// How it writes.
    pub format: Format,
    /// Its id of the session.
    pub session: Place,
    /// The phone.
    pub from: Place,
    /// The code that was dialled.
    pub code: Place,
    /// What was typed.
    pub input: Place,
    /// Whether the session has ended on its side: `true`, `1`, `yes` or one of `final_words`.
    pub last: Place,
    /// Further words that mean so.
    pub final_words: Vec<String>,
    /// What `input` holds.
    pub typed: Typed,
    /// How it wants its answer.
    pub answer: AnswerShape,
}

impl Default for UssdMapping {
    /// The contract: `{"session":"…","from":"…","code":"*40123#","input":"12.5","final":false}`, answered by `{"text":"…","end":false}`.
    fn default() -> Self {
        let name = |text: &str| Place::Name(text.to_owned());
        Self {
            format: Format::Json,
            session: name("session"),
            from: name("from"),
            code: name("code"),
            input: name("input"),
            last: name("final"),
            final_words: Vec::new(),
            typed: Typed::Step,
            answer: AnswerShape::Json {
                text: name("text"),
                end: name("end"),
            },
        }
    }
}

/// One step as it came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UssdAsked {
    /// The network's id of the session.
    pub session: String,
    /// The phone.
    pub from: PhoneNumber,
    /// The code that was dialled, as written; empty where the network does not say.
    pub code: String,
    /// What was typed.
    pub input: UssdInput,
    /// The network or the phone has ended the session; no screen is shown any more.
    pub last: bool,
}

/// What was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum UssdInput {
    /// The session begins.
    First,
    /// The latest step alone.
    Step(String),
    /// Every step since the code.
    Path(Vec<String>),
}

/// A field that is missing or wrong.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field}: {detail}")]
pub struct UssdFault {
    /// Where it was looked for; `body` where the whole does not read.
    pub field: String,
    /// What was expected, with an example.
    pub detail: String,
}

fn fault(place: &Place, detail: &str) -> UssdFault {
    UssdFault {
        field: place.shown().to_owned(),
        detail: detail.to_owned(),
    }
}

impl UssdMapping {
    /// Reads a request. `country` is the link's calling code, empty where none is set.
    ///
    /// # Errors
    /// The first field that is missing or wrong.
    pub fn read(&self, body: &[u8], query: &str, country: &str) -> Result<UssdAsked, UssdFault> {
        let posted = Posted::read(self.format, body, query).map_err(|detail| UssdFault {
            field: "body".to_owned(),
            detail,
        })?;
        let session = posted
            .text(&self.session)
            .filter(|session| (1..=SESSION_BYTES_MOST).contains(&session.len()))
            .ok_or_else(|| fault(&self.session, "expected the session's id, 1 to 128 bytes"))?;
        let from = posted
            .text(&self.from)
            .and_then(|text| read_number(&text, country))
            .ok_or_else(|| {
                fault(
                    &self.from,
                    "expected the phone's number such as \"+255700000101\"; national forms are read where the link's `country` is set",
                )
            })?;
        let code = posted.text(&self.code).unwrap_or_default();
        if code.len() > CODE_BYTES_MOST {
            return Err(fault(&self.code, "expected a code such as \"*40123#\""));
        }
        let input = posted.text(&self.input).unwrap_or_default();
        if input.chars().count() > TYPED_MOST {
            return Err(fault(&self.input, "expected at most 1600 characters"));
        }
        let last = posted.text(&self.last).unwrap_or_default();
        let last = ["true", "1", "yes"].contains(&last.to_ascii_lowercase().as_str())
            || self.final_words.contains(&last);
        Ok(UssdAsked {
            session,
            from,
            code,
            input: self.steps(&input)?,
            last,
        })
    }

    fn steps(&self, input: &str) -> Result<UssdInput, UssdFault> {
        match &self.typed {
            _ if input.is_empty() => Ok(UssdInput::First),
            Typed::Step => Ok(UssdInput::Step(input.to_owned())),
            Typed::Path(between) => {
                let steps: Vec<String> = input
                    .split(between.as_str())
                    .take(STEPS_MOST + 1)
                    .map(str::to_owned)
                    .collect();
                if steps.len() > STEPS_MOST {
                    return Err(fault(&self.input, "expected at most 64 steps"));
                }
                Ok(UssdInput::Path(steps))
            }
        }
    }

    /// The body that answers, and its media type.
    #[must_use]
    pub fn write(&self, text: &str, end: bool) -> (String, &'static str) {
        match &self.answer {
            AnswerShape::Json {
                text: at,
                end: ends,
            } => {
                let mut answer = Value::Object(Map::new());
                put(&mut answer, at, Value::from(text));
                put(&mut answer, ends, Value::from(end));
                (answer.to_string(), "application/json")
            }
            AnswerShape::Words { go_on, stop } => {
                let word = if end { stop } else { go_on };
                (format!("{word}{text}"), "text/plain; charset=utf-8")
            }
        }
    }
}

/// Puts a value where a name or a pointer of objects says.
fn put(answer: &mut Value, place: &Place, value: Value) {
    let steps: Vec<String> = match place {
        Place::Nowhere | Place::Constant(_) => return,
        Place::Name(name) => vec![name.clone()],
        Place::Pointer(pointer) => pointer
            .split('/')
            .skip(1)
            .map(|step| step.replace("~1", "/").replace("~0", "~"))
            .collect(),
    };
    let mut at = answer;
    for step in steps {
        if !at.is_object() {
            *at = Value::Object(Map::new());
        }
        let Some(inner) = at.as_object_mut() else {
            return;
        };
        at = inner.entry(step).or_insert(Value::Null);
    }
    *at = value;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_contract_is_the_default() {
        let mapping = UssdMapping::default();
        let body = br#"{"session":"s-1","from":"+255700000101","code":"*40123#","input":"","final":false}"#;
        let asked = mapping.read(body, "", "").unwrap();
        assert_eq!(asked.input, UssdInput::First);
        assert_eq!((asked.session.as_str(), asked.last), ("s-1", false));
        let body = br#"{"session":7,"from":"0700000101","input":"12.5","final":true}"#;
        let asked = mapping.read(body, "", "255").unwrap();
        assert_eq!(asked.input, UssdInput::Step("12.5".to_owned()));
        assert_eq!(asked.from.full(), "+255700000101");
        assert!(asked.last && asked.code.is_empty());
        let (answer, kind) = mapping.write("C4 \"12.5\"\nnext", false);
        assert_eq!(answer, r#"{"end":false,"text":"C4 \"12.5\"\nnext"}"#);
        assert_eq!(kind, "application/json");
        for (body, field) in [
            (&b"[]"[..], "body"),
            (b"{}", "session"),
            (br#"{"session":"s"}"#, "from"),
            (br#"{"session":"s","from":"INFO"}"#, "from"),
        ] {
            assert_eq!(mapping.read(body, "", "255").unwrap_err().field, field);
        }
    }

    #[test]
    fn a_whole_path_comes_apart_and_answers_begin_with_a_word() {
        let name = |text: &str| Place::Name(text.to_owned());
        let mapping = UssdMapping {
            format: Format::Form,
            session: name("dialogue"),
            from: name("subscriber"),
            code: name("dialled"),
            input: name("keys"),
            last: name("phase"),
            final_words: vec!["closed".to_owned()],
            typed: Typed::Path("*".to_owned()),
            answer: AnswerShape::Words {
                go_on: "MORE ".to_owned(),
                stop: "DONE ".to_owned(),
            },
        };
        let read = |keys: &str| {
            let body = format!("dialogue=d1&subscriber=%2B255700000101&dialled=*40123%23&{keys}");
            mapping.read(body.as_bytes(), "", "").unwrap()
        };
        assert_eq!(read("").input, UssdInput::First);
        let steps = ["1", "", "12.5"].map(str::to_owned).to_vec();
        let asked = read("keys=1**12.5&phase=closed");
        assert_eq!(asked.input, UssdInput::Path(steps));
        assert_eq!((asked.code.as_str(), asked.last), ("*40123#", true));
        assert_eq!(mapping.write("Kizimba?", false).0, "MORE Kizimba?");
        assert_eq!(mapping.write("Asante", true).0, "DONE Asante");
        let long = format!(
            "dialogue=d&subscriber=%2B255700000101&keys={}",
            "1*".repeat(64)
        );
        assert!(mapping.read(long.as_bytes(), "", "").is_err());
    }

    #[test]
    fn an_answer_may_stand_deep() {
        let mapping = UssdMapping {
            answer: AnswerShape::Json {
                text: Place::new("/screen/body~1text").unwrap(),
                end: Place::new("/screen/closes").unwrap(),
            },
            ..UssdMapping::default()
        };
        let (answer, _) = mapping.write("Karibu", true);
        assert_eq!(answer, r#"{"screen":{"body/text":"Karibu","closes":true}}"#);
    }
}
