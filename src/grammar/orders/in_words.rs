//! Requests said in a sentence: `what should I do today`, `how do I send eggs`, `kiswahili`, `show my data`.
//!
//! Only a whole message is one. This room reads no facts.

use crate::domain::said::{Order, Verb};
use crate::grammar::lexicon::Meaning;
use crate::grammar::orders::{Orders, verb};
use crate::grammar::tokens::{Kind, Token};

/// Words of which a question for the day's tasks is made.
const TASKS: [&str; 20] = [
    "what",
    "should",
    "do",
    "to",
    "today",
    "i",
    "must",
    "now",
    "the",
    "next",
    "leo",
    "nifanye",
    "nini",
    "je",
    "que",
    "quoi",
    "faire",
    "dois",
    "je",
    "aujourdhui",
];
/// What asks for a thing to do, and what it is asked with.
const ASKS: [&str; 4] = ["what", "nini", "que", "quoi"];
const DOES: [&str; 3] = ["do", "nifanye", "faire"];
/// Words that ask for the farm's eggs by themselves.
const FORECAST: [&str; 6] = [
    "forecast",
    "forecasts",
    "utabiri",
    "makadirio",
    "prevision",
    "previsions",
];
/// What asks how many.
const HOW_MANY: [&str; 5] = ["many", "much", "mangapi", "kiasi", "combien"];
/// Words of which a question for the farm's eggs is made, besides the eggs and filler.
const EGGS: [&str; 36] = [
    "how",
    "many",
    "much",
    "will",
    "can",
    "do",
    "get",
    "expect",
    "next",
    "last",
    "week",
    "tomorrow",
    "for",
    "days",
    "to",
    "mangapi",
    "kiasi",
    "gani",
    "nitapata",
    "tutapata",
    "wiki",
    "ijayo",
    "hii",
    "kesho",
    "siku",
    "yatatoka",
    "zijazo",
    "combien",
    "semaine",
    "prochaine",
    "demain",
    "aurai",
    "pour",
    "jours",
    "derniere",
    "aije",
];
/// How a question about how things are done begins.
const HOW: [(&str, &[&str]); 4] = [
    ("how", &["to", "do", "can", "should"]),
    ("jinsi", &["ya"]),
    ("namna", &["ya"]),
    ("comment", &["faire", "on", "je"]),
];

impl Orders<'_> {
    /// Takes a message that is such a request as a whole.
    pub(super) fn in_words(&mut self, tokens: &[Token]) -> bool {
        let words: Vec<&Token> = tokens.iter().filter(|t| t.kind != Kind::Ask).collect();
        let numbers = words
            .iter()
            .any(|t| t.text.contains(|c: char| c.is_ascii_digit()));
        if numbers || words.is_empty() {
            return false;
        }
        let texts: Vec<&str> = words.iter().map(|t| t.text.as_str()).collect();
        let any = |of: &[&str]| texts.iter().any(|text| of.contains(text));
        if any(&ASKS) && any(&DOES) && texts.iter().all(|text| TASKS.contains(text)) {
            self.reading.orders.push(Order::Tasks);
            return true;
        }
        let eggs = |t: &&Token| matches!(verb(Some(t)), Some((Verb::Eggs, _)));
        let asks_eggs = any(&FORECAST) || (any(&HOW_MANY) && words.iter().any(|t| eggs(&t)));
        let fits = |t: &&Token| {
            let text = t.text.as_str();
            t.is_filler() || eggs(t) || FORECAST.contains(&text) || EGGS.contains(&text)
        };
        if asks_eggs && words.iter().all(fits) {
            self.reading.orders.push(Order::EggsSum);
            return true;
        }
        let how = |(first, then): &(&str, &[&str])| {
            texts.first() == Some(first) && texts.get(1).is_some_and(|text| then.contains(text))
        };
        if HOW.iter().any(how) {
            let topic = words.iter().find_map(|token| match token.kind {
                Kind::Word(Meaning::Put) => Some(Verb::Stock),
                Kind::BadTemperature => Some(Verb::Temp),
                _ => verb(Some(token)).map(|(verb, _)| verb),
            });
            self.reading.orders.push(Order::Help(topic));
            return true;
        }
        let solid: Vec<&&Token> = words.iter().filter(|t| !t.is_filler()).collect();
        match solid.as_slice() {
            [only] if let Some(lang) = self.lexicon.lang_named(&only.text) => {
                self.reading.orders.push(Order::Lang(lang));
                true
            }
            [show, data]
                if matches!(show.text.as_str(), "show" | "see" | "view")
                    && matches!(verb(Some(data)), Some((Verb::Data, _))) =>
            {
                self.reading.orders.push(Order::MyData);
                true
            }
            _ => false,
        }
    }
}

/// `i am back`, `am away for 5 days`: the verb without what leads to it.
pub(super) fn without_lead(tokens: &mut Vec<Token>) {
    let lead = tokens
        .iter()
        .take_while(|t| t.is_filler() || matches!(t.text.as_str(), "am" | "im" | "be" | "will"))
        .count();
    let goes = |t: &Token| matches!(verb(Some(t)), Some((Verb::Away | Verb::Back, _)));
    let will = tokens.iter().take(lead).any(|t| t.text == "will");
    if tokens
        .get(lead)
        .is_some_and(|t| goes(t) && !(will && matches!(verb(Some(t)), Some((Verb::Back, _)))))
    {
        tokens.drain(..lead);
    }
}
