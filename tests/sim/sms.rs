//! Texts of phones on networks that carry them in parts and give them no id: what was said, and what the gateway has promised to keep.
//!
//! Does not know how a network carries them.

use crate::scene;
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// One part on its way.
#[derive(Clone, Debug, Default)]
pub(crate) struct Part {
    /// The gateway said that it keeps it: `deliver_sm_resp`, or deleted from a modem's storage.
    pub(crate) acked: bool,
    /// It was given to the gateway, which has not answered yet.
    pub(crate) given: bool,
}

/// A text of a phone.
#[derive(Clone, Debug)]
pub(crate) struct Sms {
    /// The phone's number in the scene.
    pub(crate) phone: u32,
    pub(crate) text: String,
    /// Tells the parts of one text from those of another.
    pub(crate) reference: u8,
    pub(crate) parts: Vec<Part>,
}

impl Sms {
    /// In one part, now and then in two.
    pub(crate) fn new(phone: u32, text: String, before: usize, rng: &mut ChaCha8Rng) -> Self {
        let parts = if text.len() > 4 && rng.random_bool(0.25) {
            2
        } else {
            1
        };
        Self {
            phone,
            text,
            reference: u8::try_from(before % 256).unwrap(),
            parts: vec![Part::default(); parts],
        }
    }

    pub(crate) fn is_acked(&self) -> bool {
        self.parts.iter().all(|part| part.acked)
    }

    /// What the part says. The network's parts need not end where words do.
    pub(crate) fn part(&self, part: usize) -> &str {
        match self.parts.len() {
            1 => &self.text,
            _ if part == 0 => &self.text[..3],
            _ => &self.text[3..],
        }
    }

    pub(crate) fn from(&self) -> clutchline::domain::phone::PhoneNumber {
        scene::phone(self.phone)
    }
}
