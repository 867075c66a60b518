//! Requests said in a sentence: `what should I do today`, `how do I send eggs`, `kiswahili`, `show my data`.
//!
//! Only a whole message is one. This room reads no facts.

use crate::domain::said::{Order, Verb};
use crate::grammar::lexicon::Lexicon;
use crate::grammar::meanings::Meaning;
use crate::grammar::orders::{Orders, verb};
use crate::grammar::roles::Role;
use crate::grammar::tokens::{Kind, Token};

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
        let plays = |role, token: &Token| self.lexicon.plays(role, &token.text);
        let any = |role| words.iter().any(|token| plays(role, token));
        let asked = |token: &&Token| {
            [Role::TasksAsk, Role::TasksDo, Role::TasksWith]
                .into_iter()
                .any(|role| plays(role, token))
        };
        if any(Role::TasksAsk) && any(Role::TasksDo) && words.iter().all(asked) {
            self.reading.orders.push(Order::Tasks);
            return true;
        }
        let eggs = |t: &&&Token| matches!(verb(Some(t)), Some((Verb::Eggs, _)));
        let asks_eggs = words.iter().any(|t| plays(Role::Forecast, t))
            || (words.iter().any(|t| plays(Role::HowMany, t)) && words.iter().any(|t| eggs(&t)));
        let fits = |t: &&Token| {
            let said = [Role::Forecast, Role::HowMany, Role::EggsWith];
            t.is_filler() || eggs(&t) || said.iter().any(|role| plays(*role, t))
        };
        if asks_eggs && words.iter().all(fits) {
            self.reading.orders.push(Order::EggsSum);
            return true;
        }
        let texts = words.iter().map(|t| t.text.as_str());
        if self.lexicon.begins(Role::How, texts).is_some() {
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
                if plays(Role::Show, show) && matches!(verb(Some(data)), Some((Verb::Data, _))) =>
            {
                self.reading.orders.push(Order::MyData);
                true
            }
            _ => false,
        }
    }
}

/// `i am back`, `am away for 5 days`: the verb without what leads to it.
pub(super) fn without_lead(tokens: &mut Vec<Token>, lexicon: &Lexicon) {
    let to_come = |t: &Token| lexicon.plays(Role::LeadToCome, &t.text);
    let lead = tokens
        .iter()
        .take_while(|t| t.is_filler() || to_come(t) || lexicon.plays(Role::Lead, &t.text))
        .count();
    let goes = match verb(tokens.get(lead)) {
        Some((Verb::Away, _)) => true,
        Some((Verb::Back, _)) => !tokens.iter().take(lead).any(to_come),
        _ => false,
    };
    if goes {
        tokens.drain(..lead);
    }
}
