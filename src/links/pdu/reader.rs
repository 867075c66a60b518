//! Reading octets one field after another, with the field's name in every error and flaws noted or refused.
//!
//! Does not know what the fields mean.

use crate::links::pdu::Flaw;
use crate::links::pdu::MOST_OCTETS;
use crate::links::pdu::PduError;
use crate::links::pdu::Reading;
use std::mem;

/// Octets, a place in them, and the flaws met so far.
#[derive(Debug)]
pub struct Reader<'a> {
    octets: &'a [u8],
    at: usize,
    reading: Reading,
    flaws: Vec<Flaw>,
}

impl<'a> Reader<'a> {
    /// At the first octet.
    ///
    /// # Errors
    /// More octets than a message has.
    pub const fn new(octets: &'a [u8], reading: Reading) -> Result<Self, PduError> {
        if octets.len() > MOST_OCTETS {
            return Err(PduError::TooLong(octets.len()));
        }
        Ok(Self {
            octets,
            at: 0,
            reading,
            flaws: Vec::new(),
        })
    }

    /// Octets not read yet.
    #[must_use]
    pub fn left(&self) -> usize {
        self.octets.len().saturating_sub(self.at)
    }

    /// The next octets.
    ///
    /// # Errors
    /// [`PduError::Ends`] when there are fewer.
    pub fn take(&mut self, count: usize, field: &'static str) -> Result<&'a [u8], PduError> {
        let taken = self
            .octets
            .get(self.at..self.at + count)
            .ok_or(PduError::Ends {
                field,
                at: self.at,
                wanted: count,
                left: self.left(),
            })?;
        self.at += count;
        Ok(taken)
    }

    /// The next octet.
    ///
    /// # Errors
    /// [`PduError::Ends`] when there is none.
    pub fn octet(&mut self, field: &'static str) -> Result<u8, PduError> {
        self.take(1, field)
            .map(|taken| taken.first().copied().unwrap_or_default())
    }

    /// The next octets as an array.
    ///
    /// # Errors
    /// [`PduError::Ends`] when there are fewer.
    pub fn array<const N: usize>(&mut self, field: &'static str) -> Result<[u8; N], PduError> {
        let mut array = [0; N];
        array.copy_from_slice(self.take(N, field)?);
        Ok(array)
    }

    /// At most `count` of the next octets: fewer where they end.
    pub fn up_to(&mut self, count: usize) -> &'a [u8] {
        let end = self.octets.len().min(self.at + count);
        let taken = self.octets.get(self.at..end).unwrap_or_default();
        self.at = end;
        taken
    }

    /// Notes a flaw.
    ///
    /// # Errors
    /// The flaw itself, when read strictly.
    pub fn flaw(&mut self, flaw: Flaw) -> Result<(), PduError> {
        if self.reading == Reading::Strict {
            return Err(PduError::Flawed(flaw));
        }
        self.flaws.push(flaw);
        Ok(())
    }

    /// Checks that nothing is left.
    ///
    /// # Errors
    /// The octets left are a flaw.
    pub fn finish(&mut self) -> Result<(), PduError> {
        match self.left() {
            0 => Ok(()),
            left => self.flaw(Flaw::Trailing(left)),
        }
    }

    /// The flaws met.
    pub fn flaws(&mut self) -> Vec<Flaw> {
        mem::take(&mut self.flaws)
    }
}
