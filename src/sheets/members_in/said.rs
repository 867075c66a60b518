//! One row of a sheet of members: what it says, and what that means.
//!
//! This room does not know who is a member.

use crate::domain::lang::Lang;
use crate::domain::phone::PhoneNumber;
use crate::domain::rules::Rules;
use crate::domain::{MemberNo, Role};
use crate::sheets::members_in::{Fate, refused};

/// A row's cells by column; empty where the file says nothing.
#[derive(Debug, Default)]
pub(super) struct Said {
    pub(super) member: String,
    pub(super) name: String,
    pub(super) role: String,
    pub(super) lang: String,
    pub(super) ward: String,
    pub(super) phones: String,
}

impl Said {
    pub(super) fn read(columns: &[Option<&'static str>], cells: &[String]) -> Self {
        let mut said = Self::default();
        for (column, cell) in columns.iter().zip(cells) {
            // Our own sheets put an apostrophe before what looks like a formula.
            let text = cell.trim();
            let text = text.strip_prefix('\'').unwrap_or(text).trim().to_owned();
            match *column {
                Some("member") => said.member = text,
                Some("name") => said.name = text,
                Some("role") => said.role = text.to_lowercase(),
                Some("lang") => said.lang = text.to_lowercase(),
                Some("ward") => said.ward = text,
                Some("phones") => said.phones = text,
                _ => {}
            }
        }
        said
    }

    pub(super) fn is_empty(&self) -> bool {
        [
            &self.member,
            &self.name,
            &self.role,
            &self.lang,
            &self.ward,
            &self.phones,
        ]
        .iter()
        .all(|text| text.is_empty())
    }

    pub(super) fn who(&self) -> String {
        let known = [&self.name, &self.member, &self.phones];
        known
            .into_iter()
            .find(|text| !text.is_empty())
            .cloned()
            .unwrap_or_default()
    }
}

/// A row's cells as what they mean.
pub(super) struct Meant {
    pub(super) number: Option<MemberNo>,
    pub(super) role: Option<Role>,
    pub(super) lang: Option<Lang>,
    pub(super) ward: Option<String>,
    pub(super) phones: Vec<PhoneNumber>,
}

/// What a row means.
pub(super) fn meant(rules: &Rules, said: &Said) -> Result<Meant, Fate> {
    let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    let number = match some(&said.member) {
        None => None,
        Some(text) => Some(text.parse().map(MemberNo).map_err(|_| {
            refused(
                "member",
                format!("expected a number such as 2071, but found {text:?}"),
            )
        })?),
    };
    let role = match said.role.as_str() {
        "" => None,
        "keeper" => Some(Role::Keeper),
        "collector" => Some(Role::Collector),
        "officer" => Some(Role::Officer),
        other => {
            let why = format!("expected keeper, collector or officer, but found {other:?}");
            return Err(refused("role", why));
        }
    };
    let lang = match some(&said.lang) {
        None => None,
        Some(text) => Some(Lang::new(&text).ok_or_else(|| {
            refused(
                "lang",
                format!("expected a language such as en or sw, but found {text:?}"),
            )
        })?),
    };
    let ward = match some(&said.ward) {
        None => None,
        Some(text) => {
            let known = rules
                .wards
                .iter()
                .find(|w| w.to_lowercase() == text.to_lowercase());
            let known = known.ok_or_else(|| {
                let wards = rules.wards.join(", ");
                refused(
                    "ward",
                    format!("expected one of {wards}, but found {text:?}"),
                )
            })?;
            Some(known.clone())
        }
    };
    let mut phones = Vec::new();
    for text in said
        .phones
        .split([' ', ',', ';', '/'])
        .filter(|t| !t.is_empty())
    {
        // A spreadsheet takes the plus for a sign and drops it.
        let full = if text.starts_with('+') {
            text.to_owned()
        } else {
            format!("+{text}")
        };
        let phone = PhoneNumber::new(&full).ok_or_else(|| {
            refused(
                "phones",
                format!("expected a number such as +255700000101, but found {text:?}"),
            )
        })?;
        phones.push(phone);
    }
    Ok(Meant {
        number,
        role,
        lang,
        ward,
        phones,
    })
}
