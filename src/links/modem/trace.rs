//! What a modem and the gateway say to each other, for a log: without PINs, numbers and texts.
//!
//! Does not know what the lines mean.

/// Digits in a row, hexadecimal ones too, from which on they may be a number or a message.
const DIGITS_HIDDEN: usize = 7;

/// Octets of a line that has not ended that are kept: longer than any line.
const UNENDED_MOST: usize = 2_048;

/// What was heard of a line so far: half a line could be half a PIN, so only whole ones are shown.
#[derive(Debug, Default)]
pub struct Heard(Vec<u8>);

impl Heard {
    /// The lines that are whole now, as [`shown`] shows them.
    pub fn whole(&mut self, octets: &[u8]) -> Option<String> {
        self.0.extend(octets);
        if self.0.len() > UNENDED_MOST {
            self.0.clear();
        }
        let end = self.0.iter().rposition(|b| matches!(b, b'\r' | b'\n'))?;
        let whole: Vec<u8> = self.0.drain(..=end).collect();
        Some(shown(&whole)).filter(|said| !said.is_empty())
    }
}

/// The lines in `octets` that can be shown, parted by ` | `.
#[must_use]
pub fn shown(octets: &[u8]) -> String {
    let text: String = octets.iter().map(|b| char::from(*b)).collect();
    let lines = text.split(['\r', '\n']).map(shown_line);
    let lines: Vec<String> = lines.filter(|line| !line.is_empty()).collect();
    lines.join(" | ")
}

fn shown_line(line: &str) -> String {
    if let Some(at) = line.find("AT+CPIN=") {
        let head = line.get(..at).unwrap_or_default();
        return format!("{}AT+CPIN=...", printable(head));
    }
    let (mut out, mut run) = (String::new(), String::new());
    for letter in printable(line).chars() {
        if letter.is_ascii_hexdigit() {
            run.push(letter);
        } else {
            put(&mut out, &mut run);
            out.push(letter);
        }
    }
    put(&mut out, &mut run);
    out
}

fn put(out: &mut String, run: &mut String) {
    if run.len() < DIGITS_HIDDEN {
        out.push_str(run);
    } else {
        out.push_str(&format!("({} digits)", run.len()));
    }
    run.clear();
}

fn printable(text: &str) -> String {
    text.chars().filter(|c| matches!(c, ' '..='~')).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_log_has_no_pin_no_number_and_no_text() {
        assert_eq!(shown(b"\x1b\rAT\r"), "AT");
        assert_eq!(shown(b"AT+CPIN=\"1234\"\r"), "AT+CPIN=...");
        assert_eq!(
            shown(b"\r\n+CMGL: 3,1,,24\r\n07917283010010F5040B\r\n\r\nOK\r\n"),
            "+CMGL: 3,1,,24 | (20 digits) | OK"
        );
        assert_eq!(
            shown(b"+CSCA: \"+27381000015\",145\r\n"),
            "+CSCA: \"+(11 digits)\",145"
        );
        assert_eq!(shown(b"0011000B91\x1a"), "(10 digits)");
        let mut heard = Heard::default();
        assert_eq!(heard.whole(b"\r\nAT+CPI"), None);
        assert_eq!(heard.whole(b"N=\"12"), None);
        let said = heard.whole(b"34\"\r\r\nOK\r\n");
        assert_eq!(said.as_deref(), Some("AT+CPIN=... | OK"));
    }
}
