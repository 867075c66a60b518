//! Every text of the menu, by its key in `grammar/menus/`.
//!
//! This room does not know any words.

use crate::domain::said::Verb;

/// Keys that are no verb's.
pub(crate) const PLAIN: &[&str] = &[
    "title",
    "more",
    "back",
    "first",
    "save",
    "other-day",
    "choose",
    "not-valid",
    "weigh",
    "weigh-how",
    "weigh-next",
    "round-done",
    "round-none",
    "sure",
    "days-back",
    "on-day",
    "all",
    "new-cage",
    "new-cage-number",
    "which-cage",
    "no-cage",
    "by-count",
    "by-weight",
    "type-count",
    "type-pupae-weight",
    "one-age",
    "mixed",
    "mixed-word",
    "type-dead",
    "type-coldest",
    "type-hottest",
    "type-plan",
    "type-days",
    "type-hour",
    "type-pin",
    "type-member",
    "type-got",
    "type-weight",
    "yes",
    "no",
    "replace",
    "keep",
    "add",
    "go-on",
    "go-on-yes",
    "go-on-no",
    "whose",
    "stranger",
    "join-code",
    "join-name",
    "copy-on",
    "copy-off",
    "copy-is-on",
    "copy-is-off",
    "cage-state",
    "week-sum",
    "done",
    "bye",
    "busy",
];

/// The name of a verb's item, such as `item-eggs`: what the list calls it.
pub(crate) fn item(verb: Verb) -> String {
    format!("item-{}", crate::grammar::registry::of(verb).key)
}

/// The names of the lists that open further lists.
pub(crate) const GROUPS: &[&str] = &[
    "group-care",
    "group-cages",
    "group-seen",
    "group-reminders",
    "group-messages",
];

/// Every key.
pub(crate) fn all() -> Vec<String> {
    let verbs = crate::grammar::registry::VERBS
        .iter()
        .map(|row| item(row.verb));
    PLAIN
        .iter()
        .chain(GROUPS)
        .map(|key| (*key).to_owned())
        .chain(verbs)
        .collect()
}
