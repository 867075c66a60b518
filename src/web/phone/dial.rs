//! Dialling on the phone page: a code typed like a text opens a session, whose screens take the place of the thread.
//!
//! One session a phone, kept while the page is used. This room does not know the menu.

use crate::clock::Clock;
use crate::counter::Counter;
use crate::counter::ussd::{UssdInput, UssdStep};
use crate::domain::message::{CoopId, LinkName};
use crate::domain::phone::PhoneNumber;
use crate::web::problem::Problem;
use crate::web::ussd::submit;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

/// Letters of a dialled code.
const CODE_MOST: usize = 40;

/// A session on the page.
#[derive(Clone, Debug)]
struct Open {
    session: String,
    code: String,
    screen: String,
}

/// The sessions of the page's phones.
#[derive(Default)]
pub struct Dials {
    open: Mutex<BTreeMap<PhoneNumber, Open>>,
    count: AtomicU64,
}

/// Whether a typed text is a code to dial: `*40123#`.
#[must_use]
pub fn is_code(text: &str) -> bool {
    let inner = text
        .strip_prefix('*')
        .and_then(|rest| rest.strip_suffix('#'));
    inner.is_some_and(|digits| {
        !digits.is_empty()
            && text.len() <= CODE_MOST
            && digits.bytes().all(|b| b.is_ascii_digit() || b == b'*')
    })
}

/// Whose steps they are, and by which link.
pub struct Line<'h> {
    /// Takes them.
    pub counter: &'h Counter,
    /// Whose.
    pub coop: CoopId,
    /// By which link.
    pub link: &'h LinkName,
    /// From which phone.
    pub phone: &'h PhoneNumber,
}

impl Dials {
    /// The screen of a phone's session, where one is open.
    #[must_use]
    pub fn screen(&self, phone: &PhoneNumber) -> Option<String> {
        let open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        open.get(phone).map(|open| open.screen.clone())
    }

    /// Dials a code.
    ///
    /// # Errors
    /// Where the counter did not take the step.
    pub async fn dial(&self, line: Line<'_>, code: &str) -> Result<(), Problem> {
        let count = self.count.fetch_add(1, Ordering::Relaxed);
        let begun = Clock::System.now().timestamp_millis();
        let open = Open {
            session: format!("page-{begun}-{count}"),
            code: code.to_owned(),
            screen: String::new(),
        };
        self.step(line, open, UssdInput::First).await
    }

    /// Answers the screen.
    ///
    /// # Errors
    /// Where the counter did not take the step.
    pub async fn answer(&self, line: Line<'_>, typed: &str) -> Result<(), Problem> {
        let open = {
            let open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
            open.get(line.phone).cloned()
        };
        match open {
            Some(open) => {
                self.step(line, open, UssdInput::Step(typed.to_owned()))
                    .await
            }
            // The page was left open over a start of the demo.
            None => Ok(()),
        }
    }

    /// Ends the phone's session on its side.
    pub fn hang_up(&self, phone: &PhoneNumber) {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        open.remove(phone);
    }

    async fn step(&self, line: Line<'_>, mut open: Open, input: UssdInput) -> Result<(), Problem> {
        let step = UssdStep {
            link: line.link.clone(),
            session: open.session.clone(),
            from: line.phone.clone(),
            code: open.code.clone(),
            input,
            last: false,
            arrived: Clock::System.now(),
        };
        let answer = submit(line.counter, line.coop, step).await?;
        open.screen = answer.text;
        let mut all = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        if answer.end {
            all.remove(line.phone);
        } else {
            all.insert(line.phone.clone(), open);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_dialled_and_a_text_is_sent() {
        for code in ["*40123#", "*40123*1*4*125#"] {
            assert!(is_code(code), "{code}");
        }
        for text in ["C4 12.5", "*#", "**", "*40a#", "40123#", "*40123"] {
            assert!(!is_code(text), "{text}");
        }
    }
}
