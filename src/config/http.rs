//! The parts of an http link's settings: where its network puts messages, receipts and USSD steps, and how it wants texts.
//!
//! Shapes and defaults only; `mapped` makes of them what the links take.

use crate::counter::settings::UssdProfile;
use chrono::Duration;
use serde::{Deserialize, Serialize};

/// `[links.NAME.inbound]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Inbound {
    /// How the network posts messages: `json`, `form` or `query`; empty: the JSON of `docs/http.md`, and the places below do not count.
    pub format: String,
    /// Where a post holds a list of messages, such as `/messages`, or `.` where the body is the list; the places below are looked for in each. Empty: a post is one message.
    pub each: String,
    /// Where the message's id stands: a field's name, a JSON pointer that begins with `/`, or `=` and a constant; empty: nowhere.
    pub id: String,
    /// Where the sender's number stands.
    pub from: String,
    /// Where the number that was written to stands.
    pub to: String,
    /// Where the text stands.
    pub text: String,
    /// Where the moment of sending stands.
    pub sent_at: String,
    /// How that moment is written: `rfc3339`, `seconds` or `milliseconds` since 1970, or a pattern of strftime.
    pub time: String,
    /// The zone of a pattern that names none: a name or `+03:00`; empty: UTC.
    pub zone: String,
    /// What `secret` is: `bearer`, the password of `basic`, the key of an `hmac` signature (HMAC-SHA256), or the `whsec_` secret of a `webhook` (Standard Webhooks).
    pub auth: String,
    /// User for `basic`.
    pub user: String,
    /// The header of an `hmac` signature.
    pub header: String,
    /// How that signature is written: `hex` or `base64`.
    pub encoding: String,
    /// What stands before it.
    pub prefix: String,
    /// The header of a Unix time that is signed as `TIME.BODY`; empty: the body alone is signed, and a copy of a request cannot be told from it.
    pub time_header: String,
    /// Seconds that this time may be off.
    pub tolerance_secs: u32,
    /// Status of the answer to a message that was taken.
    pub answer_status: u32,
    /// Media type of that answer.
    pub answer_type: String,
    /// Its body with `{id}`, `{outcome}` and `{text}`, escaped for its media type; empty: the JSON of `docs/http.md`.
    pub answer_body: String,
}

impl Default for Inbound {
    fn default() -> Self {
        Self {
            format: String::new(),
            each: String::new(),
            id: "id".to_owned(),
            from: "from".to_owned(),
            to: "to".to_owned(),
            text: "text".to_owned(),
            sent_at: "sent_at".to_owned(),
            time: "rfc3339".to_owned(),
            zone: String::new(),
            auth: "bearer".to_owned(),
            user: String::new(),
            header: "x-signature".to_owned(),
            encoding: "hex".to_owned(),
            prefix: String::new(),
            time_header: String::new(),
            tolerance_secs: 300,
            answer_status: 200,
            answer_type: "application/json".to_owned(),
            answer_body: String::new(),
        }
    }
}

/// `[links.NAME.outbound]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Outbound {
    /// `POST`, `PUT` or `GET`; `GET` has no body.
    pub method: String,
    /// Media type of `body`; values are escaped for it.
    pub media_type: String,
    /// Further headers, one a line.
    pub headers: String,
    /// What `{from}` stands for: the sender that members see.
    pub from: String,
    /// Where the network's id stands in its answer: a name, a JSON pointer, or `~` and a regular expression with one group; empty: nowhere, and receipts can name ours only.
    pub message_id: String,
    /// A text counts as taken only where this place of the answer's JSON holds one of these words; empty: any 2xx.
    pub taken_where: String,
    /// Statuses that mean never.
    pub refused: String,
    /// Statuses that mean try again later; before `refused`.
    pub later: String,
    /// The header of an `hmac` signature.
    pub header: String,
    /// How that signature is written: `hex` or `base64`.
    pub encoding: String,
    /// What stands before it.
    pub prefix: String,
    /// The header of the Unix time that is signed with the body; empty: none.
    pub time_header: String,
    /// Texts on their way at a time.
    pub window: u32,
    /// What a text is that was posted and not answered: `retry` where the network tells a repeated `{id}`, else `keep` as unknown for a person.
    pub silence: String,
}

impl Default for Outbound {
    fn default() -> Self {
        Self {
            method: "POST".to_owned(),
            media_type: "application/json".to_owned(),
            headers: String::new(),
            from: String::new(),
            message_id: String::new(),
            taken_where: String::new(),
            refused: String::new(),
            later: String::new(),
            header: "x-signature".to_owned(),
            encoding: "hex".to_owned(),
            prefix: String::new(),
            time_header: String::new(),
            window: 8,
            silence: "retry".to_owned(),
        }
    }
}

/// `[links.NAME.receipts]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Receipts {
    /// How the network posts delivery receipts: `json`, `form` or `query`; empty: none are read.
    pub format: String,
    /// Where a post holds a list of receipts, as `inbound.each`.
    pub each: String,
    /// A post to `/in/NAME` is a receipt where this place holds one of these words; empty: receipts come to `/in/NAME/receipt` only.
    pub only: String,
    /// Where the id of the text stands, the network's or ours.
    pub id: String,
    /// Where the word for what became of it stands.
    pub state: String,
    /// Where a reason stands.
    pub why: String,
    /// Where the moment stands.
    pub at: String,
    /// How it is written, as `inbound.time`.
    pub time: String,
    /// The zone of a pattern that names none.
    pub zone: String,
    /// Words for delivered.
    pub delivered: String,
    /// Words for failed.
    pub failed: String,
    /// Words for expired.
    pub expired: String,
    /// Words for unknown; any other word is on its way.
    pub unknown: String,
}

impl Default for Receipts {
    fn default() -> Self {
        Self {
            format: String::new(),
            each: String::new(),
            only: String::new(),
            id: "id".to_owned(),
            state: "state".to_owned(),
            why: String::new(),
            at: String::new(),
            time: "rfc3339".to_owned(),
            zone: String::new(),
            delivered: "delivered".to_owned(),
            failed: "failed,undeliverable,rejected".to_owned(),
            expired: "expired".to_owned(),
            unknown: "unknown".to_owned(),
        }
    }
}

/// `[links.NAME.ussd]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Ussd {
    /// How the network posts a step of a USSD session: `json`, `form` or `query`.
    pub format: String,
    /// Where the session's id stands.
    pub session: String,
    /// Where the phone's number stands.
    pub from: String,
    /// Where the dialled code stands.
    pub code: String,
    /// Where what was typed stands.
    pub input: String,
    /// Where it says that the session has ended: `true`, `1`, `yes` or one of `final_words`.
    pub last: String,
    /// Further words for an ended session.
    pub final_words: String,
    /// What stands between steps where `input` holds all of them; empty: it holds the last one.
    pub path: String,
    /// Where the screen goes in the answer's JSON.
    pub answer_text: String,
    /// Where it goes whether the session ends.
    pub answer_end: String,
    /// With `stop`: the answer is plain text, and this stands before a screen that waits.
    pub go_on: String,
    /// What stands before the last screen.
    pub stop: String,
    /// Letters that a screen shows, 80 to 182.
    pub septets: u16,
    /// Seconds of silence after which a session is over.
    pub idle_secs: u32,
    /// Minutes for which a session that broke off is offered again.
    pub resume_mins: u32,
}

impl Ussd {
    /// What the network can show and how long it waits.
    #[must_use]
    pub fn profile(&self) -> UssdProfile {
        UssdProfile {
            septets: self.septets,
            idle: Duration::seconds(i64::from(self.idle_secs)),
            resume: Duration::minutes(i64::from(self.resume_mins)),
            star_is_point: self.path.is_empty(),
            ..UssdProfile::default()
        }
    }
}

impl Default for Ussd {
    fn default() -> Self {
        Self {
            format: "json".to_owned(),
            session: "session".to_owned(),
            from: "from".to_owned(),
            code: "code".to_owned(),
            input: "input".to_owned(),
            last: "final".to_owned(),
            final_words: String::new(),
            path: String::new(),
            answer_text: "text".to_owned(),
            answer_end: "end".to_owned(),
            go_on: String::new(),
            stop: String::new(),
            septets: 160,
            idle_secs: 180,
            resume_mins: 10,
        }
    }
}
