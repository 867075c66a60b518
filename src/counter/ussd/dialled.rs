//! A dialled string: the code itself, and what stands after it.
//!
//! This room does not know what the parameters say.

/// The parameters of a dialled string: what stands after the service code's own first part.
pub(super) fn parameters(code: &str) -> Vec<String> {
    let plain = code.trim().trim_start_matches(['*', '#']);
    let plain = plain.trim_end_matches('#');
    plain.split('*').skip(1).map(str::to_owned).collect()
}

/// The code itself: what was dialled after it is the menu's, and says more than where the message went.
pub(super) fn service(code: &str) -> String {
    let plain = code.trim();
    let first = plain.trim_start_matches(['*', '#']);
    let end = first.find('*').map(|at| plain.len() - first.len() + at);
    match end {
        Some(end) => format!("{}#", &plain[..end]),
        None => plain.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dialled_string_is_a_code_and_its_parameters() {
        assert_eq!(service("*40123#"), "*40123#");
        assert_eq!(service("*40123*1*4711#"), "*40123#");
        assert_eq!(service("40123"), "40123");
        assert_eq!(service(""), "");
        assert_eq!(parameters("*40123*1*4*125#"), ["1", "4", "125"]);
    }
}
