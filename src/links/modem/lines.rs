//! Octets from a modem as lines, and the prompt that has no line end.
//!
//! Takes any octets: what is no printable ASCII is left out, a line that never ends is cut. Does not know what a line says.

/// Longest line that is kept: a message of 255 octets in hexadecimal is 510, and a name may stand before it.
const LINE_MOST: usize = 1_024;

/// What was heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heard {
    /// A line without its end, never empty.
    Line(String),
    /// The modem waits for a message (TS 27.005 clause 3.5.1: CR LF `>` space).
    Prompt,
}

/// Octets that are no whole line yet.
#[derive(Debug, Default)]
pub struct Lines {
    octets: Vec<u8>,
}

impl Lines {
    /// More octets.
    pub fn push(&mut self, octets: &[u8]) {
        self.octets.extend(octets);
    }

    /// Forgets half a line.
    pub fn clear(&mut self) {
        self.octets.clear();
    }

    /// The next line; where a prompt is awaited, the prompt too.
    pub fn next(&mut self, prompt_awaited: bool) -> Option<Heard> {
        loop {
            let Some(end) = self.octets.iter().position(|b| matches!(b, b'\r' | b'\n')) else {
                return self.unended(prompt_awaited);
            };
            let line: Vec<u8> = self.octets.drain(..=end).collect();
            let line = printable(&line);
            if !line.is_empty() {
                return Some(Heard::Line(line));
            }
        }
    }

    fn unended(&mut self, prompt_awaited: bool) -> Option<Heard> {
        if prompt_awaited && printable(&self.octets) == ">" {
            self.octets.clear();
            return Some(Heard::Prompt);
        }
        if self.octets.len() > LINE_MOST {
            let line = printable(&std::mem::take(&mut self.octets));
            return (!line.is_empty()).then_some(Heard::Line(line));
        }
        None
    }
}

fn printable(octets: &[u8]) -> String {
    let kept = octets.iter().filter(|b| matches!(b, b' '..=b'~'));
    let text: String = kept.map(|b| char::from(*b)).collect();
    text.trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(lines: &mut Lines, awaited: bool) -> Vec<Heard> {
        std::iter::from_fn(|| lines.next(awaited)).collect()
    }

    #[test]
    fn lines_come_whole_however_their_octets_do() {
        let said = b"\r\n+CMTI: \"SM\",3\r\n\r\nOK\r\n";
        let expected = ["+CMTI: \"SM\",3", "OK"].map(|l| Heard::Line(l.to_owned()));
        let mut lines = Lines::default();
        lines.push(said);
        assert_eq!(all(&mut lines, true), expected);
        let mut one_by_one = Vec::new();
        for octet in said {
            lines.push(&[*octet]);
            one_by_one.extend(all(&mut lines, true));
        }
        assert_eq!(one_by_one, expected);
    }

    #[test]
    fn a_prompt_is_heard_only_where_it_is_awaited_and_noise_is_left_out() {
        let mut lines = Lines::default();
        lines.push(b"\r\n>");
        assert_eq!(all(&mut lines, false), []);
        assert_eq!(all(&mut lines, true), [Heard::Prompt]);
        lines.push(b" \0\xFF\x07O\xFEK\r\n");
        assert_eq!(all(&mut lines, false), [Heard::Line("OK".to_owned())]);
        lines.push(&[b'x'; LINE_MOST + 1]);
        assert_eq!(all(&mut lines, false).len(), 1);
    }
}
