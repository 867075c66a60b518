//! QR codes (ISO/IEC 18004) as inline SVG, small in bytes: one path, a row's dark modules as dashes.
//!
//! This room does not know what a code says.

use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc};
use std::fmt::Write;

/// Light modules around the code: four (ISO/IEC 18004, quiet zone).
const QUIET: i32 = 4;

/// The code of a text, with level M of error correction: about 15 % of it may be dirty. Nothing where the text is too long for any code.
#[must_use]
pub fn svg(text: &str) -> Markup {
    let Ok(code) = QrCode::encode_text(text, QrCodeEcc::Medium) else {
        return html! {};
    };
    let side = code.size() + 2 * QUIET;
    html! {
        svg.qr viewBox=(format!("0 0 {side} {side}")) role="img" aria-label="QR" shape-rendering="crispEdges" {
            path d=(dashes(&code)) {}
        }
    }
}

/// Each run of dark modules as a line one module thick along the middle of its row.
fn dashes(code: &QrCode) -> String {
    let mut path = String::new();
    for y in 0..code.size() {
        let (mut x, mut pen) = (0, None);
        while x < code.size() {
            let start = x;
            while code.get_module(x, y) {
                x += 1;
            }
            if x > start {
                // Writing into a text cannot fail.
                let _ = match pen {
                    None => write!(path, "M{} {}.5h{}", start + QUIET, y + QUIET, x - start),
                    Some(end) => write!(path, "m{} 0h{}", start - end, x - start),
                };
                pen = Some(x);
            }
            x += 1;
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The modules that the path paints.
    fn painted(path: &str) -> Vec<(i32, i32)> {
        let mut modules = Vec::new();
        let mut at = (0, 0);
        let spaced = path
            .replace('M', " M")
            .replace('m', " m")
            .replace('h', " h");
        let mut parts = spaced.split_whitespace();
        while let Some(part) = parts.next() {
            let (kind, number) = part.split_at(1);
            match kind {
                "M" => {
                    let row = parts.next().unwrap().trim_end_matches(".5");
                    at = (number.parse().unwrap(), row.parse().unwrap());
                }
                "m" => {
                    at.0 += number.parse::<i32>().unwrap();
                    assert_eq!(parts.next(), Some("0"));
                }
                _ => {
                    let length: i32 = number.parse().unwrap();
                    modules.extend((0..length).map(|step| (at.0 + step, at.1)));
                    at.0 += length;
                }
            }
        }
        modules
    }

    #[test]
    fn the_path_paints_every_dark_module_and_no_other() {
        let code = QrCode::encode_text("C4K\n2001 Asha", QrCodeEcc::Medium).unwrap();
        let painted = painted(&dashes(&code));
        let side = code.size();
        let dark = |x: i32, y: i32| code.get_module(x, y);
        let count = (0..side)
            .flat_map(|y| (0..side).map(move |x| (x, y)))
            .filter(|(x, y)| dark(*x, *y))
            .count();
        assert_eq!(painted.len(), count);
        assert!(painted.iter().all(|(x, y)| dark(x - QUIET, y - QUIET)));
        // The finder pattern's outer row is seven modules (ISO/IEC 18004, 6.3.3).
        assert!(dashes(&code).starts_with("M4 4.5h7m"));
    }
}
