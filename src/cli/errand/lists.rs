//! Lists that an operator asks for, a line each: members, users, tokens.
//!
//! This room does not change anything.

use crate::counter::Counter;
use crate::domain::message::CoopId;
use crate::domain::phone::PhoneNumber;

/// The members of a cooperative, a line each.
pub(super) fn members(coop: CoopId, counter: &Counter) -> Result<String, String> {
    let mut lines =
        vec!["number  role       lang  ward          phones              name".to_owned()];
    for member in counter.members(coop).map_err(|why| why.to_string())? {
        let phones: Vec<&str> = member.phones.iter().map(PhoneNumber::full).collect();
        lines.push(format!(
            "{:<7} {:<10} {:<5} {:<13} {:<19} {}",
            member.number.to_string(),
            format!("{:?}", member.role).to_lowercase(),
            member.lang.to_string(),
            member.ward.clone().unwrap_or_else(|| "-".to_owned()),
            phones.join(","),
            member.name
        ));
    }
    Ok(lines.join("\n"))
}

/// The users of a cooperative, a line each.
pub(super) fn users(coop: CoopId, counter: &Counter) -> Result<String, String> {
    let mut lines = vec!["name              role      member  wards".to_owned()];
    for (login, user) in counter.users(coop).map_err(|why| why.to_string())? {
        let role = if user.open {
            user.power.word()
        } else {
            "closed"
        };
        let member = user.member.map_or("-".to_owned(), |no| no.to_string());
        let wards = if user.wards.is_empty() {
            "all".to_owned()
        } else {
            user.wards.join(",")
        };
        lines.push(format!("{login:<17} {role:<9} {member:<7} {wards}"));
    }
    Ok(lines.join("\n"))
}

/// The tokens of a cooperative, a line each.
pub(super) fn tokens(coop: CoopId, counter: &Counter) -> Result<String, String> {
    let mut lines =
        vec!["user              no   role      made        last used   wards  for".to_owned()];
    for (login, user) in counter.users(coop).map_err(|why| why.to_string())? {
        for kept in &user.tokens {
            let wards = if kept.token.wards.is_empty() {
                "all".to_owned()
            } else {
                kept.token.wards.join(",")
            };
            let used = kept
                .used_on
                .map_or("never".to_owned(), |day| day.to_string());
            lines.push(format!(
                "{:<17} {:<4} {:<9} {}  {used:<10}  {wards}  {}",
                login.as_str(),
                kept.token.no.to_string(),
                kept.token.power.word(),
                kept.made_at.format("%Y-%m-%d"),
                kept.token.about
            ));
        }
    }
    Ok(lines.join("\n"))
}
