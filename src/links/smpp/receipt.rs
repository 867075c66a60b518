//! The text of a delivery receipt (SMPP 3.4 appendix B, which calls it vendor specific): keys in any order and case.
//!
//! Prefer the receipt's TLVs where there are any. Does not know which message the id stands for.

/// What a receipt's text says. Values are as sent: an error `075` keeps its zero.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReceiptText {
    /// The message centre's id.
    pub id: String,
    /// The state's word, upper case, such as `DELIVRD`.
    pub state: String,
    /// The error code, where there is one.
    pub error: Option<String>,
    /// `done date` as sent, 10 or 12 digits without a zone.
    pub done: Option<String>,
}

/// The value after `key:`, up to the next space; `key` in lower case.
fn value<'a>(text: &'a str, lower: &str, key: &str) -> Option<&'a str> {
    let mut from = 0;
    while let Some(found) = lower.get(from..)?.find(key) {
        let (begin, end) = (from + found, from + found + key.len());
        let starts_word = lower
            .get(..begin)
            .is_some_and(|s| s.is_empty() || s.ends_with([' ', '\n']));
        if starts_word {
            let rest = text.get(end..)?.trim_start_matches(' ');
            return rest
                .split([' ', '\r', '\n'])
                .next()
                .filter(|v| !v.is_empty());
        }
        from = end;
    }
    None
}

/// Reads a receipt's text; `None` without an id and a state. What follows `text:` is the message's own and not searched.
#[must_use]
pub fn read(text: &str) -> Option<ReceiptText> {
    let lower = text.to_ascii_lowercase();
    let end = lower.find(" text:").unwrap_or(lower.len());
    let (text, lower) = (text.get(..end)?, lower.get(..end)?);
    Some(ReceiptText {
        id: value(text, lower, "id:")?.to_owned(),
        state: value(text, lower, "stat:")?.to_ascii_uppercase(),
        error: value(text, lower, "err:").map(str::to_owned),
        done: value(text, lower, "done date:").map(str::to_owned),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Receipts seen in public questions (the second at https://e-com-net.com/article/2299106.htm).
    #[test]
    fn receipts_are_read_as_they_vary() {
        let read_in = |text: &str| read(text).map(|r| (r.id, r.state, r.error));
        let given = |id: &str, state: &str, error: &str| {
            Some((id.to_owned(), state.to_owned(), Some(error.to_owned())))
        };
        let plain = "id:40072910491427628 sub:001 dlvrd:001 submit date:1007291049 done date:1007291049 stat:DELIVRD err:000";
        assert_eq!(read_in(plain), given("40072910491427628", "DELIVRD", "000"));
        assert_eq!(read(plain).unwrap().done.as_deref(), Some("1007291049"));
        let other = "STAT:undeliv err:075 ID:0911897980 Text:id:7 stat:DELIVRD";
        assert_eq!(read_in(other), given("0911897980", "UNDELIV", "075"));
        assert_eq!(read_in("C4 12.5"), None);
    }
}
