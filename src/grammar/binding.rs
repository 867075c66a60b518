//! Which day binds which facts.
//!
//! A leading day, or a single one at the end, binds the whole line. Inside a line a day binds the facts of its cage since that cage's day before;
//! where a group or a line starts with its day and goes on with others, each day binds what follows it. This room knows places only.

use crate::domain::said::DaySaid;

/// A day as written at a place; `None` where it is no date.
pub(crate) type Placed = (usize, Option<DaySaid>);

/// The places of one group.
#[derive(Clone, Debug, Default)]
pub(crate) struct Places {
    /// Its units' first place, where it names any.
    pub(crate) units: Option<usize>,
    /// Its facts.
    pub(crate) facts: Vec<usize>,
    /// Its days.
    pub(crate) days: Vec<Placed>,
    /// A word that says of what follows that it was not done, where it has one.
    pub(crate) blur: Option<usize>,
    /// It has only work, and a word that says that it was not done (`C1 bait not yet`).
    pub(crate) undone: bool,
}

impl Places {
    /// Places of what was done, which a day ends: where something was not, it has no say about the others' day.
    fn marks(&self) -> impl Iterator<Item = usize> {
        let done = |at: &usize| !self.undone && self.blur.is_none_or(|blur| *at < blur);
        let facts: Vec<usize> = self.facts.iter().copied().filter(done).collect();
        // `C4 12.5 yesterday. The net of C1 is torn`: a cage without a fact says nothing about the day.
        let unit = self.units.filter(|_| !facts.is_empty());
        facts.into_iter().chain(unit)
    }
}

/// The days that a fact may be for: one where it is certain. `None` in it: a day that is no date.
pub(crate) type Choices = Vec<Option<DaySaid>>;

/// The days of every fact, group by group.
pub(crate) fn bind(groups: &[Places]) -> Vec<Vec<Choices>> {
    let days: Vec<Placed> = groups.iter().flat_map(|g| g.days.iter().copied()).collect();
    let marks = || groups.iter().flat_map(Places::marks);
    let (Some((first_day, first)), Some((last_day, _))) = (days.first(), days.last()) else {
        return each(groups, |_, _| vec![Some(DaySaid::Unsaid)]);
    };
    let leads = marks().min().is_some_and(|mark| *first_day < mark);
    let ends = marks().max().is_some_and(|mark| *last_day > mark);
    if days.len() == 1 && (leads || ends) {
        // A day at a cage without facts may be meant for that cage alone.
        let stray = !leads
            && groups
                .iter()
                .any(|g| !g.days.is_empty() && g.facts.is_empty());
        return each(groups, |_, _| {
            if stray {
                vec![Some(DaySaid::Unsaid), *first]
            } else {
                vec![*first]
            }
        });
    }
    if leads {
        return each(groups, |_, place| {
            let before = before(&days, place);
            if ends {
                both(before, after(&days, place))
            } else {
                vec![before]
            }
        });
    }
    each(groups, in_group)
}

fn each(groups: &[Places], choose: impl Fn(&Places, usize) -> Choices) -> Vec<Vec<Choices>> {
    groups
        .iter()
        .map(|group| {
            group
                .facts
                .iter()
                .map(|place| choose(group, *place))
                .collect()
        })
        .collect()
}

fn in_group(group: &Places, place: usize) -> Choices {
    let (Some((first_day, _)), Some((last_day, _))) = (group.days.first(), group.days.last())
    else {
        return vec![Some(DaySaid::Unsaid)];
    };
    let starts = group.facts.iter().all(|fact| first_day < fact);
    let ends = group.facts.iter().all(|fact| last_day > fact);
    match (starts, ends) {
        (true, true) => both(before(&group.days, place), after(&group.days, place)),
        (true, false) => vec![before(&group.days, place)],
        _ => vec![after(&group.days, place)],
    }
}

fn before(days: &[Placed], place: usize) -> Option<DaySaid> {
    days.iter()
        .rev()
        .find(|(at, _)| *at < place)
        .map_or(Some(DaySaid::Unsaid), |(_, day)| *day)
}

fn after(days: &[Placed], place: usize) -> Option<DaySaid> {
    days.iter()
        .find(|(at, _)| *at > place)
        .map_or(Some(DaySaid::Unsaid), |(_, day)| *day)
}

fn both(a: Option<DaySaid>, b: Option<DaySaid>) -> Choices {
    if a == b { vec![a] } else { vec![a, b] }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn group(units: usize, facts: &[usize], days: &[(usize, u8)]) -> Places {
        Places {
            units: Some(units),
            facts: facts.to_vec(),
            days: days
                .iter()
                .map(|(at, n)| (*at, Some(DaySaid::Back(*n))))
                .collect(),
            blur: None,
            undone: false,
        }
    }

    fn shown(groups: &[Places]) -> String {
        let one = |choices: &Choices| {
            let days: Vec<String> = choices
                .iter()
                .map(|c| match c {
                    Some(DaySaid::Back(n)) => n.to_string(),
                    _ => "-".to_owned(),
                })
                .collect();
            days.join("|")
        };
        bind(groups)
            .iter()
            .flatten()
            .map(one)
            .collect::<Vec<_>>()
            .join(" ")
    }

    #[test]
    fn days_bind_as_people_write_them() {
        // C4 12 D1 11 D2
        assert_eq!(shown(&[group(0, &[1, 3], &[(2, 1), (4, 2)])]), "1 2");
        // C4 12 C5 8 D1, D1 C4 12 C5 8
        assert_eq!(
            shown(&[group(0, &[1], &[]), group(2, &[3], &[(4, 1)])]),
            "1 1"
        );
        assert_eq!(
            shown(&[group(1, &[2], &[(0, 1)]), group(3, &[4], &[])]),
            "1 1"
        );
        // C4 12 D1 C5 8
        assert_eq!(
            shown(&[group(0, &[1], &[(2, 1)]), group(3, &[4], &[])]),
            "1 -"
        );
        // D1 C4 12 D2 11
        assert_eq!(shown(&[group(1, &[2, 4], &[(0, 1), (3, 2)])]), "1 2");
        // C4 D1 12 D2 and C4 12 C5 D1
        assert_eq!(shown(&[group(0, &[2], &[(1, 1), (3, 2)])]), "1|2");
        assert_eq!(
            shown(&[group(0, &[1], &[]), group(2, &[], &[(3, 1)])]),
            "-|1"
        );
    }
}
