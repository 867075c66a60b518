//! Cuts a stream into PDUs by their length field, whatever pieces the network delivers.
//!
//! Does not know what is in a PDU.

/// Octets of a header.
pub const HEADER: usize = 16;
/// Longest PDU: a `message_payload` can hold 64 kB; nothing that a phone sends comes near.
pub const LONGEST: usize = 70 * 1024;

/// The length field cannot be right: where the next PDU begins is not known any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a PDU of {0} octets; expected 16 to 71680")]
pub struct OutOfStep(pub u32);

/// Octets received that are no whole PDU yet.
#[derive(Clone, Debug, Default)]
pub struct Frames {
    held: Vec<u8>,
    /// Octets at the front that were handed out.
    used: usize,
}

impl Frames {
    /// More octets.
    pub fn push(&mut self, octets: &[u8]) {
        if self.used > 0 {
            self.held.drain(..self.used);
            self.used = 0;
        }
        self.held.extend(octets);
    }

    /// The next whole PDU.
    ///
    /// # Errors
    /// When the length field is impossible: nothing after it can be read.
    pub fn next_frame(&mut self) -> Result<Option<Vec<u8>>, OutOfStep> {
        let ready = self.held.get(self.used..).unwrap_or_default();
        let Some(head) = ready.first_chunk::<4>() else {
            return Ok(None);
        };
        let length = u32::from_be_bytes(*head);
        let whole = usize::try_from(length).unwrap_or(usize::MAX);
        if !(HEADER..=LONGEST).contains(&whole) {
            return Err(OutOfStep(length));
        }
        let Some(frame) = ready.get(..whole) else {
            return Ok(None);
        };
        let frame = frame.to_vec();
        self.used += whole;
        Ok(Some(frame))
    }

    /// What is held now; for keeping what could not be read.
    #[must_use]
    pub fn rest(&self) -> &[u8] {
        self.held.get(self.used..).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_of_any_size_make_the_same_frames() {
        let one = [0, 0, 0, 17, 0, 0, 0, 4, 0, 0, 0, 0, 0, 0, 0, 1, 0xAA];
        let two = [0, 0, 0, 16, 0, 0, 0, 0x15, 0, 0, 0, 0, 0, 0, 0, 2];
        let stream = [one.as_slice(), &two].concat();
        for size in 1..=stream.len() {
            let (mut frames, mut seen) = (Frames::default(), Vec::new());
            for piece in stream.chunks(size) {
                frames.push(piece);
                while let Some(frame) = frames.next_frame().unwrap() {
                    seen.push(frame);
                }
            }
            assert_eq!(seen, [one.to_vec(), two.to_vec()], "pieces of {size}");
        }
        let mut frames = Frames::default();
        frames.push(&[0, 0, 0, 15, 1]);
        assert_eq!(frames.next_frame(), Err(OutOfStep(15)));
        let mut frames = Frames::default();
        frames.push(&[0xFF, 0, 0, 15]);
        assert_eq!(frames.next_frame(), Err(OutOfStep(0xFF00_000F)));
    }
}
