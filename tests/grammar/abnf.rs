//! A small reader of RFC 5234 grammars that makes sentences from them.
//!
//! It reads what `grammar/entry.abnf` uses: rules over several lines, comments, alternatives, groups, options, repetition, literal text
//! (which RFC 5234 matches in any case), `%x` values, ranges and sequences. Sentences are bounded in depth and in repetition.

use std::collections::BTreeMap;

#[derive(Clone, Debug)]
enum Element {
    Literal(String),
    Range(u32, u32),
    Rule(String),
    Repeat(usize, usize, Box<Element>),
    Sequence(Vec<Element>),
    Choice(Vec<Element>),
}

/// The most times that an open repetition is taken.
const MOST_REPEATS: usize = 3;
/// The deepest that rules may nest in one sentence.
const DEEPEST: usize = 40;

pub struct Grammar {
    rules: BTreeMap<String, Element>,
}

/// A seeded source of choices (xorshift; only for tests).
pub struct Seed(pub u64);

impl Seed {
    pub fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % bound.max(1) as u64).unwrap()
    }
}

impl Grammar {
    pub fn read(text: &str) -> Self {
        let mut rules = BTreeMap::new();
        let mut logical: Vec<String> = Vec::new();
        for line in text.lines() {
            let line = line.split(';').next().unwrap_or_default();
            if line.trim().is_empty() {
                continue;
            }
            match logical.last_mut() {
                Some(last) if line.starts_with(' ') => {
                    last.push(' ');
                    last.push_str(line.trim());
                }
                _ => logical.push(line.trim().to_owned()),
            }
        }
        for line in logical {
            let (name, body) = line.split_once('=').unwrap_or_else(|| panic!("no rule: {line}"));
            let mut reader = Reader { chars: body.chars().collect(), at: 0 };
            let element = reader.choice();
            reader.space();
            assert_eq!(reader.at, reader.chars.len(), "not read to its end: {line}");
            let old = rules.insert(name.trim().to_lowercase(), element);
            assert!(old.is_none(), "two rules {name}");
        }
        let grammar = Self { rules };
        for element in grammar.rules.values() {
            grammar.check_names(element);
        }
        grammar
    }

    fn check_names(&self, element: &Element) {
        match element {
            Element::Rule(name) => assert!(self.rules.contains_key(name), "no rule {name}"),
            Element::Repeat(_, _, inner) => self.check_names(inner),
            Element::Sequence(all) | Element::Choice(all) => all.iter().for_each(|e| self.check_names(e)),
            Element::Literal(_) | Element::Range(..) => (),
        }
    }

    /// One sentence of a rule.
    pub fn sentence(&self, rule: &str, seed: &mut Seed) -> String {
        let mut out = String::new();
        self.write(&self.rules[rule], seed, &mut out, 0);
        out
    }

    /// The literal alternatives of a rule of words.
    pub fn words(&self, rule: &str) -> Vec<String> {
        let one = |e: &Element| match e {
            Element::Literal(text) => text.clone(),
            other => panic!("{rule} has {other:?}, expected words"),
        };
        match self.rules.get(rule) {
            None => Vec::new(),
            Some(Element::Choice(all)) => all.iter().map(one).collect(),
            Some(only) => vec![one(only)],
        }
    }

    fn write(&self, element: &Element, seed: &mut Seed, out: &mut String, depth: usize) {
        assert!(depth < DEEPEST, "the grammar nests too deep");
        match element {
            Element::Literal(text) => {
                // RFC 5234 2.3: literal text matches in any case.
                for c in text.chars() {
                    let upper = seed.below(4) == 0;
                    out.push(if upper { c.to_ascii_uppercase() } else { c });
                }
            }
            Element::Range(low, high) => {
                let span = usize::try_from(high - low + 1).unwrap();
                let value = low + u32::try_from(seed.below(span)).unwrap();
                out.push(char::from_u32(value).unwrap());
            }
            Element::Rule(name) => self.write(&self.rules[name], seed, out, depth + 1),
            Element::Repeat(least, most, inner) => {
                let times = least + seed.below(most - least + 1);
                for _ in 0..times {
                    self.write(inner, seed, out, depth + 1);
                }
            }
            Element::Sequence(all) => all.iter().for_each(|e| self.write(e, seed, out, depth + 1)),
            Element::Choice(all) => self.write(&all[seed.below(all.len())], seed, out, depth + 1),
        }
    }
}

struct Reader {
    chars: Vec<char>,
    at: usize,
}

impl Reader {
    fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    fn space(&mut self) {
        while self.peek() == Some(' ') {
            self.at += 1;
        }
    }

    fn choice(&mut self) -> Element {
        let mut all = vec![self.sequence()];
        loop {
            self.space();
            if self.peek() != Some('/') {
                break;
            }
            self.at += 1;
            all.push(self.sequence());
        }
        if all.len() == 1 { all.remove(0) } else { Element::Choice(all) }
    }

    fn sequence(&mut self) -> Element {
        let mut all = Vec::new();
        loop {
            self.space();
            match self.peek() {
                None | Some('/' | ')' | ']') => break,
                Some(_) => all.push(self.repetition()),
            }
        }
        assert!(!all.is_empty(), "an empty alternative");
        if all.len() == 1 { all.remove(0) } else { Element::Sequence(all) }
    }

    fn number(&mut self, radix: u32) -> Option<u32> {
        let start = self.at;
        while self.peek().is_some_and(|c| c.is_digit(radix)) {
            self.at += 1;
        }
        let digits: String = self.chars[start..self.at].iter().collect();
        u32::from_str_radix(&digits, radix).ok()
    }

    fn repetition(&mut self) -> Element {
        let least = self.number(10).map(|n| n as usize);
        if self.peek() == Some('*') {
            self.at += 1;
            let most = self.number(10).map(|n| n as usize);
            let least = least.unwrap_or(0);
            let element = self.element();
            return Element::Repeat(least, most.unwrap_or(least + MOST_REPEATS), Box::new(element));
        }
        let element = self.element();
        match least {
            Some(times) => Element::Repeat(times, times, Box::new(element)),
            None => element,
        }
    }

    fn element(&mut self) -> Element {
        let first = self.peek().expect("an element");
        self.at += 1;
        match first {
            '(' | '[' => {
                let inner = self.choice();
                self.space();
                assert_eq!(self.peek(), Some(if first == '(' { ')' } else { ']' }));
                self.at += 1;
                if first == '[' { Element::Repeat(0, 1, Box::new(inner)) } else { inner }
            }
            '"' => {
                let start = self.at;
                while self.peek() != Some('"') {
                    self.at += 1;
                }
                self.at += 1;
                Element::Literal(self.chars[start..self.at - 1].iter().collect())
            }
            '%' => self.value(),
            c if c.is_ascii_alphabetic() => {
                let start = self.at - 1;
                while self.peek().is_some_and(|c| c.is_ascii_alphanumeric() || c == '-') {
                    self.at += 1;
                }
                let name: String = self.chars[start..self.at].iter().collect();
                Element::Rule(name.to_lowercase())
            }
            other => panic!("not read: {other:?}"),
        }
    }

    fn value(&mut self) -> Element {
        assert_eq!(self.peek(), Some('x'), "only %x values are read");
        self.at += 1;
        let first = self.number(16).expect("a value");
        match self.peek() {
            Some('-') => {
                self.at += 1;
                Element::Range(first, self.number(16).expect("the end of a range"))
            }
            _ => Element::Range(first, first),
        }
    }
}
