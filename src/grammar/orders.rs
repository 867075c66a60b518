//! Lines that are requests, answers or settings rather than facts.
//!
//! What ends or takes back something counts only where it stands alone. This room does not read facts.

mod in_words;
mod received;

use crate::domain::MemberNo;
use crate::domain::pin::PinSaid;
use crate::domain::said::{Doubt, Expected, Order, Reading, Unread, Verb, Why};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::{Manner, Meaning};
use crate::grammar::orders::in_words::without_lead;
use crate::grammar::tokens::{Kind, Token};

/// The longest cooperative code that `join` takes, in characters.
const LONGEST_CODE: usize = 32;
/// The longest name that `join` takes, in characters.
const LONGEST_NAME: usize = 40;
/// The most days that `away` takes: longer is leaving.
const LONGEST_AWAY: u32 = 365;

/// What stands between two places of the message, as the member wrote it.
pub(crate) fn written(original: &[char], at: usize, end: usize) -> String {
    let span = original
        .get(at..end.min(original.len()))
        .unwrap_or_default();
    span.iter().collect()
}

fn verb(token: Option<&Token>) -> Option<(Verb, Manner)> {
    match token?.kind {
        Kind::Word(Meaning::Verb(verb, manner)) => Some((verb, manner)),
        _ => None,
    }
}

fn is_got(token: &Token) -> bool {
    matches!(verb(Some(token)), Some((Verb::Got, _)))
}

/// `6am`, `6pm`, `18h`.
fn hour_of_half(text: &str) -> Option<u8> {
    let digits = text.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let hour: u8 = digits.parse().ok()?;
    match text.get(digits.len()..)? {
        "am" if (1..=11).contains(&hour) => Some(hour),
        "pm" if (1..=11).contains(&hour) => Some(hour + 12),
        "h" => Some(hour),
        _ => None,
    }
}

fn plain_number(token: Option<&Token>) -> Option<u32> {
    match &token?.kind {
        Kind::Number(number) => number.plain,
        _ => None,
    }
}

/// Takes the orders out of a line; gives the tokens that are left for facts.
pub(crate) fn take(
    original: &[char],
    mut tokens: Vec<Token>,
    lexicon: &Lexicon,
    reading: &mut Reading,
) -> Vec<Token> {
    let mut line = Orders {
        original,
        lexicon,
        reading,
    };
    let skip = |tokens: &mut Vec<Token>| {
        let start = tokens.iter().position(|t| !t.is_filler());
        tokens.drain(..start.unwrap_or(tokens.len()));
    };
    if line.got(&tokens) {
        return Vec::new();
    }
    if line.in_words(&tokens) {
        return Vec::new();
    }
    without_lead(&mut tokens, lexicon);
    skip(&mut tokens);
    if !line.address(&mut tokens) {
        return Vec::new();
    }
    skip(&mut tokens);
    if line.alone(&tokens) || line.heading(&mut tokens) {
        return tokens_left(&line, tokens);
    }
    line.tasks(&mut tokens);
    tokens
}

/// What is left after a heading order; a line that was taken whole leaves nothing.
fn tokens_left(line: &Orders<'_>, tokens: Vec<Token>) -> Vec<Token> {
    let helps = matches!(line.reading.orders.last(), Some(Order::Help(_)));
    if helps { tokens } else { Vec::new() }
}

struct Orders<'a> {
    original: &'a [char],
    lexicon: &'a Lexicon,
    reading: &'a mut Reading,
}

impl Orders<'_> {
    fn name(&mut self, tokens: &[Token], expected: Expected) {
        for token in tokens
            .iter()
            .filter(|t| !t.is_filler() && t.kind != Kind::Ask)
        {
            self.reading.unread.push(Unread {
                text: written(self.original, token.at, token.end),
                at: token.at,
                unit: None,
                expected,
            });
        }
    }

    /// `for 2071`. Where the member cannot be read, nothing else is: it would go to the wrong farm.
    fn address(&mut self, tokens: &mut Vec<Token>) -> bool {
        if !matches!(verb(tokens.first()), Some((Verb::For, _))) {
            return true;
        }
        if let Some(number) = plain_number(tokens.get(1)) {
            self.reading.for_member = Some(MemberNo(number));
            let head: Vec<Token> = tokens.drain(..2).collect();
            // A PIN was taken out before.
            let pin = self
                .reading
                .orders
                .iter()
                .any(|o| matches!(o, Order::Pin(_)));
            if !pin && tokens.iter().all(Token::is_filler) {
                self.name(&head[..1], Expected::CageOrWord);
            }
            return true;
        }
        let before_unit = matches!(
            tokens.get(1).map(|t| &t.kind),
            Some(Kind::Units(_) | Kind::UnitDoubt(..) | Kind::Word(Meaning::All))
        );
        if before_unit {
            tokens.remove(0);
        } else {
            self.name(tokens, Expected::Member);
        }
        before_unit
    }

    /// One word that is the whole line; saying it twice changes nothing.
    fn alone(&mut self, tokens: &[Token]) -> bool {
        let mut words = tokens
            .iter()
            .filter(|t| !t.is_filler() && t.kind != Kind::Ask);
        let asked = tokens.iter().any(|t| t.kind == Kind::Ask);
        let Some(first) = words.next() else {
            if asked {
                self.reading.orders.push(Order::Tasks);
            }
            return asked;
        };
        let Some((said, manner)) = verb(Some(first)) else {
            return false;
        };
        if !words.all(|t| t.kind == first.kind) {
            return false;
        }
        let order = match said {
            Verb::Tasks => Order::Tasks,
            Verb::Eggs => Order::EggsSum,
            Verb::Undo if !asked => Order::Undo,
            Verb::Yes if !asked => Order::Yes,
            Verb::No if !asked => Order::No,
            Verb::Add if !asked => Order::Add,
            Verb::Fix if manner == Manner::YesWhenAlone && !asked => Order::Yes,
            Verb::Stop if !asked => Order::Stop,
            Verb::Start if !asked => Order::Start,
            Verb::Back if !asked => Order::Back,
            Verb::Data => Order::MyData,
            Verb::Forget if !asked => Order::Forget,
            Verb::Lessons if !asked => Order::Lessons(true),
            Verb::Pin if asked => Order::Help(Some(Verb::Pin)),
            Verb::Pin => Order::Pin(PinSaid::Bare),
            _ => return false,
        };
        self.reading.orders.push(order);
        true
    }

    /// A first word that says what the rest of the line is.
    fn heading(&mut self, tokens: &mut Vec<Token>) -> bool {
        let Some((said, manner)) = verb(tokens.first()) else {
            return false;
        };
        let rest = tokens.get(1..).unwrap_or_default().to_vec();
        match said {
            Verb::Join => self.join(tokens),
            Verb::Lang => self.lang(tokens),
            Verb::Help => {
                let names = |t: &Token| !t.is_filler() || is_got(t);
                let first = rest.iter().find(|t| names(t));
                // A bare `temp` has been looked at as a temperature already.
                let topic = match first.map(|t| &t.kind) {
                    Some(Kind::BadTemperature) => Some((Verb::Temp, Manner::Plain)),
                    // `msaada weka pupa`: the keyword has two words.
                    Some(Kind::Word(Meaning::Put)) => Some((Verb::Stock, Manner::Plain)),
                    _ => verb(first),
                };
                self.reading
                    .orders
                    .push(Order::Help(topic.map(|(verb, _)| verb)));
                let upto = rest.iter().position(names).map_or(0, |p| p + 1);
                tokens.drain(..=if topic.is_some() { upto } else { 0 });
                let pupae = |t: &Token| t.kind == Kind::Word(Meaning::Pupae);
                if topic.map(|(verb, _)| verb) == Some(Verb::Stock)
                    && tokens.first().is_some_and(pupae)
                {
                    tokens.remove(0);
                }
            }
            Verb::Plan => self.plan(&rest),
            Verb::Away => self.away(tokens, &rest),
            Verb::Hour => self.hour(tokens, &rest, manner),
            // Its digits are taken out before: what else stands behind the word is none.
            Verb::Pin if !rest.iter().any(|t| matches!(t.kind, Kind::Units(_))) => {
                self.reading.orders.push(Order::Pin(PinSaid::Unclear));
            }
            Verb::Lessons | Verb::Stop | Verb::No | Verb::Start => {
                return self.lessons(said, &rest);
            }
            _ => return false,
        }
        true
    }

    /// `lessons stop`, `stop lessons`, `lessons start`: never taken for `stop`, which ends everything.
    fn lessons(&mut self, said: Verb, rest: &[Token]) -> bool {
        let verbs: Vec<Option<Verb>> = rest
            .iter()
            .filter(|t| !t.is_filler())
            .map(|t| verb(Some(t)).map(|(verb, _)| verb))
            .collect();
        let switch = match (said, verbs.as_slice()) {
            (Verb::Lessons, [Some(switch)]) => *switch,
            (switch, [Some(Verb::Lessons)]) => switch,
            _ => return false,
        };
        let on = match switch {
            Verb::Start | Verb::Yes => true,
            Verb::Stop | Verb::No => false,
            _ => return false,
        };
        self.reading.orders.push(Order::Lessons(on));
        true
    }

    fn join(&mut self, tokens: &[Token]) {
        // A name or a code near a keyword is no misspelt keyword.
        self.reading.repaired.clear();
        let from = tokens.first().map_or(0, |t| t.end);
        let rest = self.original.get(from..).unwrap_or_default();
        let text: String = rest.iter().collect();
        let mut words = text.split_whitespace();
        let code = words
            .next()
            .map(|w| {
                w.trim_matches(|c: char| !c.is_alphanumeric())
                    .to_uppercase()
            })
            .filter(|c| !c.is_empty() && c.chars().count() <= LONGEST_CODE);
        let Some(code) = code else {
            return self.name(&tokens[..1], Expected::JoinCode);
        };
        // A code or a name that lies near a keyword is none.
        let is_in_name = |typed: &str| {
            let mut words = text.split(|c: char| !c.is_alphanumeric());
            words.any(|word| word.eq_ignore_ascii_case(typed))
        };
        self.reading
            .repaired
            .retain(|repair| !is_in_name(&repair.typed));
        let mut name = String::new();
        for word in words {
            if word.chars().any(char::is_numeric) {
                let at = from + text.find(word).map_or(0, |b| text[..b].chars().count());
                self.reading.unread.push(Unread {
                    text: word.to_owned(),
                    at,
                    unit: None,
                    expected: Expected::NoNumber,
                });
                continue;
            }
            let word: String = word.chars().filter(|c| !c.is_control()).collect();
            if name.chars().count() + word.chars().count() < LONGEST_NAME {
                name.push_str(if name.is_empty() { "" } else { " " });
                name.push_str(&word);
            }
        }
        self.reading.orders.push(Order::Join { code, name });
    }

    fn lang(&mut self, tokens: &[Token]) {
        let rest: Vec<Token> = tokens[1..]
            .iter()
            .filter(|t| !t.text.is_empty())
            .cloned()
            .collect();
        let Some(named) = rest.iter().find(|t| !t.is_filler()) else {
            return self.name(&tokens[..1], Expected::Language);
        };
        self.reading.orders.push(
            self.lexicon
                .lang_named(&named.text)
                .map_or(Order::LangUnknown, Order::Lang),
        );
        let after: Vec<Token> = rest.iter().filter(|t| t.at > named.at).cloned().collect();
        self.name(&after, Expected::Language);
    }

    fn plan(&mut self, rest: &[Token]) {
        let Some(first) = rest.iter().find(|t| !t.is_filler()) else {
            return self.reading.orders.push(Order::Plan(None));
        };
        let grams = match &first.kind {
            Kind::Number(n) if n.doubt.is_none() => n.grams(n.hundredths),
            _ => None,
        };
        match grams {
            Some(grams) => {
                self.reading.orders.push(Order::Plan(Some(grams)));
                let after: Vec<Token> = rest.iter().filter(|t| t.at > first.at).cloned().collect();
                self.name(&after, Expected::Weight);
            }
            None => self.name(rest, Expected::Weight),
        }
    }

    fn away(&mut self, tokens: &[Token], rest: &[Token]) {
        let words: Vec<&Token> = rest
            .iter()
            .filter(|t| !t.is_filler() && t.kind != Kind::Word(Meaning::Days))
            .filter(|t| !matches!(verb(Some(t)), Some((Verb::For, _))))
            .collect();
        let days = plain_number(words.first().copied()).filter(|d| (1..=LONGEST_AWAY).contains(d));
        match (days.and_then(|d| u16::try_from(d).ok()), words.len()) {
            (Some(days), 1) => self.reading.orders.push(Order::Away(days)),
            _ => self.name(tokens, Expected::Days),
        }
    }

    fn hour(&mut self, tokens: &[Token], rest: &[Token], manner: Manner) {
        let words: Vec<&Token> = rest.iter().filter(|t| !t.is_filler()).collect();
        let first = words.first().copied();
        let hour = plain_number(first)
            .and_then(|h| u8::try_from(h).ok())
            .or_else(|| first.and_then(|t| hour_of_half(&t.text)));
        match (hour.filter(|h| *h <= 23), words.len()) {
            // Hours counted from sunrise: `saa 12` is six o'clock to many.
            (Some(1..=12), 1) if manner == Manner::SixHourClock => {
                let end = tokens.last().map_or(0, |t| t.end);
                self.reading.doubts.push(Doubt {
                    why: Why::ClockHour,
                    text: written(self.original, tokens[0].at, end),
                    readings: Vec::new(),
                });
            }
            (Some(hour), 1) => self.reading.orders.push(Order::Hour(hour)),
            _ => self.name(tokens, Expected::Hour),
        }
    }

    /// `tasks` anywhere in a line, with its question mark.
    fn tasks(&mut self, tokens: &mut Vec<Token>) {
        let is_tasks = |t: &Token| matches!(verb(Some(t)), Some((Verb::Tasks, _)));
        while let Some(i) = tokens.iter().position(is_tasks) {
            let asks = tokens.get(i + 1).is_some_and(|t| t.kind == Kind::Ask);
            tokens.drain(i..=i + usize::from(asks));
            if !self.reading.orders.contains(&Order::Tasks) {
                self.reading.orders.push(Order::Tasks);
            }
        }
    }
}
