//! From an http link's settings to what the links take: mappings, templates, signatures.
//!
//! Each failure names the key and says what was expected; nothing is opened here.

use crate::config::Link;
use crate::links::http::answered::{Answered, IdIn, Statuses};
use crate::links::http::fields::{Each, Format, Place};
use crate::links::http::mapping::{
    ANSWER_PLACES, AnswerForm, MessageMapping, ReceiptMapping, TimeForm,
};
use crate::links::http::outgoing::{Auth, Method, SendBy, read_body, read_headers, read_url};
use crate::links::http::signing::{Encoding, Signing, StandardWebhooks, TOLERANCE_S};
use crate::links::http::template::Template;
use crate::links::http::ussd::{AnswerShape, Typed, UssdMapping};
use crate::web::gate::{Door, Lock};

/// The key below the link that is wrong, and what was expected.
pub(crate) type Misfit = (&'static str, String);

/// Texts on their way at a time: more would only wait at a network's door.
const WINDOW_MOST: u32 = 256;

fn at<T>(key: &'static str, read: Result<T, String>) -> Result<T, Misfit> {
    read.map_err(|wanted| (key, wanted))
}

fn words(text: &str) -> Vec<String> {
    text.split(',')
        .map(|word| word.trim().to_owned())
        .filter(|word| !word.is_empty())
        .collect()
}

fn encoding(key: &'static str, word: &str) -> Result<Encoding, Misfit> {
    match word {
        "hex" => Ok(Encoding::Hex),
        "base64" => Ok(Encoding::Base64),
        _ => Err((key, "\"hex\" or \"base64\"".to_owned())),
    }
}

fn header_name(key: &'static str, name: &str, may_be_empty: bool) -> Result<String, Misfit> {
    let fits = |b: u8| b.is_ascii_alphanumeric() || b == b'-' || b == b'_';
    if !name.bytes().all(fits) || (name.is_empty() && !may_be_empty) {
        return Err((key, "the name of a header".to_owned()));
    }
    Ok(name.to_ascii_lowercase())
}

/// `PLACE=word,word`; none where it is empty.
fn condition(key: &'static str, text: &str) -> Result<Option<(Place, Vec<String>)>, Misfit> {
    if text.is_empty() {
        return Ok(None);
    }
    let (place, said) = text.rsplit_once('=').unwrap_or((text, ""));
    let said = words(said);
    if place.is_empty() || said.is_empty() {
        return Err((key, "a place, = and words with commas between".to_owned()));
    }
    Ok(Some((at(key, Place::new(place))?, said)))
}

impl Link {
    /// What the link's key opens and how its posts are read.
    pub(crate) fn fitted(&self, door: Door) -> Result<Door, Misfit> {
        Ok(Door {
            lock: self.lock()?,
            answers_here: self.reply != "send",
            message: self.message_mapping()?,
            answer: self.answer_form()?,
            receipts: self.receipt_mapping()?,
            ussd: self.ussd_mapping()?,
            ..door
        })
    }

    fn lock(&self) -> Result<Lock, Misfit> {
        let set = &self.inbound;
        match set.auth.as_str() {
            "bearer" => Ok(Lock::bearer(&self.secret)),
            "basic" => Ok(Lock::basic(&set.user, &self.secret)),
            "hmac" => Ok(Lock::Hmac(Signing {
                key: self.secret.clone().into_bytes(),
                header: header_name("inbound.header", &set.header, false)?,
                encoding: encoding("inbound.encoding", &set.encoding)?,
                prefix: set.prefix.clone(),
                time_header: header_name("inbound.time_header", &set.time_header, true)?,
                tolerance_s: set.tolerance_secs,
            })),
            "webhook" => Ok(Lock::Webhook(at(
                "secret",
                StandardWebhooks::new(&self.secret),
            )?)),
            _ => Err((
                "inbound.auth",
                "\"bearer\", \"basic\", \"hmac\" or \"webhook\"".to_owned(),
            )),
        }
    }

    fn message_mapping(&self) -> Result<Option<MessageMapping>, Misfit> {
        let set = &self.inbound;
        if set.format.is_empty() {
            return Ok(None);
        }
        let format = format("inbound.format", &set.format)?;
        let mapping = MessageMapping {
            format,
            each: each("inbound.each", &set.each, format)?,
            id: at("inbound.id", Place::new(&set.id))?,
            from: at("inbound.from", Place::new(&set.from))?,
            to: at("inbound.to", Place::new(&set.to))?,
            text: at("inbound.text", Place::new(&set.text))?,
            sent_at: at("inbound.sent_at", Place::new(&set.sent_at))?,
            time: at("inbound.time", TimeForm::new(&set.time, &set.zone))?,
        };
        for (key, place) in [
            ("inbound.from", &mapping.from),
            ("inbound.text", &mapping.text),
        ] {
            if matches!(place, Place::Nowhere | Place::Constant(_)) {
                return Err((key, "the place of a field".to_owned()));
            }
        }
        if mapping.each != Each::Whole && (self.reply != "send" || mapping.id == Place::Nowhere) {
            let wanted = "empty, or `reply` \"send\" and the place of an id: one answer cannot hold the replies to several messages";
            return Err(("inbound.each", wanted.to_owned()));
        }
        Ok(Some(mapping))
    }

    fn answer_form(&self) -> Result<AnswerForm, Misfit> {
        let set = &self.inbound;
        let status = u16::try_from(set.answer_status).ok();
        let status = status.filter(|status| (200..=299).contains(status));
        let status = status.ok_or_else(|| {
            (
                "inbound.answer_status",
                "a status from 200 to 299".to_owned(),
            )
        })?;
        let media_type = set.answer_type.clone();
        if !media_type.contains('/') || !media_type.bytes().all(|b| (b' '..=b'~').contains(&b)) {
            return Err(("inbound.answer_type", "a media type".to_owned()));
        }
        let mut body = None;
        if !set.answer_body.is_empty() {
            let target = AnswerForm::target(&media_type);
            let template = Template::new(&set.answer_body, target, &ANSWER_PLACES);
            let template = at("inbound.answer_body", template)?;
            // An answer that nobody gets to read would be worse than none.
            if self.reply == "response" && !template.has(2) {
                let wanted = "a body with {text} where `reply` is \"response\"";
                return Err(("inbound.answer_body", wanted.to_owned()));
            }
            if !set.each.is_empty() && (0..ANSWER_PLACES.len()).any(|place| template.has(place)) {
                let wanted = "a body without places where `inbound.each` is set";
                return Err(("inbound.answer_body", wanted.to_owned()));
            }
            body = Some(template);
        }
        Ok(AnswerForm {
            status,
            media_type,
            body,
        })
    }

    fn receipt_mapping(&self) -> Result<Option<ReceiptMapping>, Misfit> {
        let set = &self.receipts;
        if set.format.is_empty() {
            return Ok(None);
        }
        let only = condition("receipts.only", &set.only)?;
        if only.is_some() && set.format != self.inbound.format {
            let wanted = "the same as `inbound.format` where `receipts.only` is set";
            return Err(("receipts.format", wanted.to_owned()));
        }
        let format = format("receipts.format", &set.format)?;
        Ok(Some(ReceiptMapping {
            format,
            each: each("receipts.each", &set.each, format)?,
            only,
            id: at("receipts.id", Place::new(&set.id))?,
            state: at("receipts.state", Place::new(&set.state))?,
            why: at("receipts.why", Place::new(&set.why))?,
            at: at("receipts.at", Place::new(&set.at))?,
            time: at("receipts.time", TimeForm::new(&set.time, &set.zone))?,
            words: [&set.delivered, &set.failed, &set.expired, &set.unknown].map(|w| words(w)),
        }))
    }

    fn ussd_mapping(&self) -> Result<UssdMapping, Misfit> {
        let set = &self.ussd;
        let answer = if set.go_on.is_empty() && set.stop.is_empty() {
            AnswerShape::Json {
                text: at("ussd.answer_text", Place::new(&set.answer_text))?,
                end: at("ussd.answer_end", Place::new(&set.answer_end))?,
            }
        } else if set.go_on == set.stop {
            return Err(("ussd.stop", "another word than `ussd.go_on`".to_owned()));
        } else {
            AnswerShape::Words {
                go_on: set.go_on.clone(),
                stop: set.stop.clone(),
            }
        };
        Ok(UssdMapping {
            format: format("ussd.format", &set.format)?,
            session: at("ussd.session", Place::new(&set.session))?,
            from: at("ussd.from", Place::new(&set.from))?,
            code: at("ussd.code", Place::new(&set.code))?,
            input: at("ussd.input", Place::new(&set.input))?,
            last: at("ussd.last", Place::new(&set.last))?,
            final_words: words(&set.final_words),
            typed: match set.path.as_str() {
                "" => Typed::Step,
                between => Typed::Path(between.to_owned()),
            },
            answer,
        })
    }

    /// The link's way out; none where it has no `send_url`.
    pub(crate) fn way_out(&self) -> Result<Option<SendBy>, Misfit> {
        let set = &self.outbound;
        if self.send_url.is_empty() {
            return Ok(None);
        }
        let method = match set.method.as_str() {
            "POST" => Method::Post,
            "PUT" => Method::Put,
            "GET" => Method::Get,
            _ => return Err(("outbound.method", "\"POST\", \"PUT\" or \"GET\"".to_owned())),
        };
        if !(1..=WINDOW_MOST).contains(&set.window) {
            return Err(("outbound.window", format!("from 1 to {WINDOW_MOST}")));
        }
        let body = match method {
            Method::Get => None,
            _ => Some(at("body", read_body(&self.body, &set.media_type))?),
        };
        let tells_repeats = match set.silence.as_str() {
            "retry" => true,
            "keep" => false,
            _ => return Err(("outbound.silence", "\"retry\" or \"keep\"".to_owned())),
        };
        let by = SendBy {
            method,
            url: at("send_url", read_url(&self.send_url))?,
            headers: at("outbound.headers", read_headers(&set.headers))?,
            media_type: set.media_type.clone(),
            body,
            from: set.from.clone(),
            auth: self.way_auth()?,
            answer: Answered {
                id: at("outbound.message_id", IdIn::new(&set.message_id))?,
                taken_where: condition("outbound.taken_where", &set.taken_where)?,
                refused: at("outbound.refused", Statuses::new(&set.refused))?,
                later: at("outbound.later", Statuses::new(&set.later))?,
            },
            per_second: self.rate_per_second,
            window: usize::try_from(set.window).unwrap_or(1),
            tells_repeats,
            receipts: !self.receipts.format.is_empty(),
        };
        at("body", by.whole())?;
        Ok(Some(by))
    }

    fn way_auth(&self) -> Result<Auth, Misfit> {
        let set = &self.outbound;
        // What a header cannot hold would else break each request by itself.
        let plain = |text: &str| text.bytes().all(|b| (b'!'..=b'~').contains(&b));
        if !plain(&self.token)
            && self.auth != "hmac"
            && self.auth != "webhook"
            && self.auth != "basic"
        {
            return Err((
                "token",
                "letters, digits and signs without spaces".to_owned(),
            ));
        }
        Ok(match self.auth.as_str() {
            "none" => Auth::None,
            "bearer" => Auth::Bearer(self.token.clone()),
            "basic" => Auth::Basic(self.user.clone(), self.token.clone()),
            "hmac" => Auth::Hmac(Signing {
                key: self.token.clone().into_bytes(),
                header: header_name("outbound.header", &set.header, false)?,
                encoding: encoding("outbound.encoding", &set.encoding)?,
                prefix: set.prefix.clone(),
                time_header: header_name("outbound.time_header", &set.time_header, true)?,
                tolerance_s: TOLERANCE_S,
            }),
            "webhook" => Auth::Webhook(at("token", StandardWebhooks::new(&self.token))?),
            _ => {
                let wanted = "\"none\", \"bearer\", \"basic\", \"hmac\" or \"webhook\"";
                return Err(("auth", wanted.to_owned()));
            }
        })
    }
}

fn format(key: &'static str, word: &str) -> Result<Format, Misfit> {
    Format::named(word).ok_or_else(|| (key, "\"json\", \"form\" or \"query\"".to_owned()))
}

fn each(key: &'static str, text: &str, format: Format) -> Result<Each, Misfit> {
    match at(key, Each::new(text))? {
        Each::Whole => Ok(Each::Whole),
        list if format == Format::Json => Ok(list),
        _ => Err((key, "empty where the format is not \"json\"".to_owned())),
    }
}
