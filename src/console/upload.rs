//! A file in a form: `multipart/form-data` (RFC 7578), its first file's bytes.
//!
//! Bounded by the body's own limit. This room does not know what the file is.

/// The bytes of the field of that name; none where the body is no such form or the field is empty.
#[must_use]
pub fn file<'b>(body: &'b [u8], kind: &str, field: &str) -> Option<&'b [u8]> {
    let boundary = kind
        .split(';')
        .find_map(|part| part.trim().strip_prefix("boundary="))?;
    let boundary = format!("--{}", boundary.trim_matches('"'));
    let wanted = format!("name=\"{field}\"");
    let mut rest = after(body, boundary.as_bytes())?;
    loop {
        // The line end after the boundary; two dashes end the form.
        rest = rest.strip_prefix(b"\r\n")?;
        let head_end = find(rest, b"\r\n\r\n")?;
        let head = String::from_utf8_lossy(rest.get(..head_end)?).into_owned();
        let content = rest.get(head_end + 4..)?;
        let end = find(content, format!("\r\n{boundary}").as_bytes())?;
        let disposition = head
            .lines()
            .find(|line| line.to_lowercase().starts_with("content-disposition:"));
        if disposition.is_some_and(|line| line.split(';').any(|part| part.trim() == wanted)) {
            return content.get(..end).filter(|bytes| !bytes.is_empty());
        }
        rest = content.get(end + 2 + boundary.len()..)?;
    }
}

fn find(within: &[u8], what: &[u8]) -> Option<usize> {
    within.windows(what.len()).position(|window| window == what)
}

fn after<'b>(within: &'b [u8], what: &[u8]) -> Option<&'b [u8]> {
    within.get(find(within, what)? + what.len()..)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_found_among_the_fields_whatever_its_bytes() {
        // The shape of RFC 7578, section 4, with a line end and the boundary's beginning inside the file.
        let body = b"--XyZ\r\nContent-Disposition: form-data; name=\"note\"\r\n\r\nhello\r\n--XyZ\r\nContent-Disposition: form-data; name=\"file\"; filename=\"m.csv\"\r\nContent-Type: text/csv\r\n\r\nname\r\n--Xy\x00\xffAsha\r\n--XyZ--\r\n";
        let kind = "multipart/form-data; boundary=XyZ";
        assert_eq!(
            file(body, kind, "file").unwrap(),
            b"name\r\n--Xy\x00\xffAsha"
        );
        assert_eq!(file(body, kind, "note").unwrap(), b"hello");
        assert_eq!(file(body, kind, "other"), None);
        assert_eq!(file(body, "text/plain", "file"), None);
        for cut in 0..body.len() {
            let _ = file(&body[..cut], kind, "other");
        }
        assert_eq!(file(b"--XyZ\r\nno head", kind, "file"), None);
    }
}
