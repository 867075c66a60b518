//! What a farm is reminded of without a message: the morning list, and questions that nobody answered.
//!
//! At most one reminder in a farm day, only when there is something to do. This room does not send anything.

use crate::desk::Decision;
use crate::desk::farm::Farm;
use crate::desk::member::Member;
use crate::desk::reply::{Fragment, Reply};
use crate::desk::tasks;
use crate::desk::teaching;
use crate::desk::warnings;
use crate::desk::work::{expired, zone_of};
use crate::domain::event::{Event, FarmEvent, StreamId};
use crate::domain::message::Outcome;
use crate::domain::question::Closing;
use crate::domain::rules::Rules;
use crate::units::day::{DAY_STARTS_AT_HOUR, FarmDay, farm_day, local_hour};
use chrono::{DateTime, Duration, Utc};
use chrono_tz::Tz;

/// Hours after its time when a reminder is still worth sending: a morning list is worthless by evening.
pub const REMINDER_LATE_HOURS: i64 = 6;

/// Jobs that a reminder with a lesson shows: both have to fit one part, and `tasks` has the rest.
const LESSON_ROWS: usize = 1;

/// See [`crate::desk::tick`].
pub(crate) fn tick(rules: &Rules, member: &Member, farm: &Farm, now: DateTime<Utc>) -> Decision {
    let stream = || StreamId::Farm(member.number);
    let today = farm_day(now, zone_of(rules, farm));
    let mut changes: Vec<(StreamId, Event)> = expired(rules, farm, now)
        .into_iter()
        .map(|no| {
            let how = Closing::Expired;
            (stream(), Event::Farm(FarmEvent::Closed { no, how }))
        })
        .collect();
    let mut reply = None;
    if is_time(rules, member, farm, now, today) {
        let warnings = warnings::standing(rules, farm, today);
        let mut due = tasks::due(rules, farm, today);
        // Whoever is warned has something more urgent to read.
        let lesson = teaching::next(farm, &due, today).filter(|topic| {
            let own_text = teaching::goes_alone(*topic) && !member.questions_only;
            warnings.is_empty() && (!due.is_empty() || own_text)
        });
        if lesson.is_some() {
            due.truncate(LESSON_ROWS);
        }
        let mut fragments: Vec<Fragment> = warnings.into_iter().map(Fragment::Warning).collect();
        if !due.is_empty() {
            fragments.push(Fragment::Tasks(due));
        }
        if let Some(topic) = lesson {
            changes.push((stream(), Event::Farm(FarmEvent::Explained(topic))));
            let unit = farm.running().next().map(|(unit, _)| unit.code);
            let unit = unit.or_else(|| farm.units.first().map(|unit| unit.code));
            fragments.push(Fragment::Lesson { topic, unit });
        }
        if !fragments.is_empty() {
            changes.push((stream(), Event::Farm(FarmEvent::Reminded(today))));
            reply = Some(Reply {
                lang: member.lang,
                today,
                fragments,
            });
        }
    }
    Decision {
        by: None,
        outcome: Outcome::Answered,
        covers_repeats: false,
        changes,
        reply,
        notices: Vec::new(),
    }
}

fn is_time(
    rules: &Rules,
    member: &Member,
    farm: &Farm,
    now: DateTime<Utc>,
    today: FarmDay,
) -> bool {
    let moment = reminder_moment(rules, farm, today);
    let late = moment + Duration::hours(REMINDER_LATE_HOURS);
    let away = farm.away_until.is_some_and(|until| today < until);
    let silent = member.stopped || !member.joined;
    moment <= now && now <= late && !away && !silent && farm.last_reminder.is_none_or(|d| d < today)
}

/// When a farm day's reminder is due. Hours before the day's start are those of the night that ends it.
fn reminder_moment(rules: &Rules, farm: &Farm, day: FarmDay) -> DateTime<Utc> {
    let zone: Tz = zone_of(rules, farm);
    let hour = u32::from(farm.hour.unwrap_or(rules.hour));
    let date = if hour < DAY_STARTS_AT_HOUR {
        day + Duration::days(1)
    } else {
        day
    };
    local_hour(date, hour, zone)
}

/// See [`crate::desk::next_wakeup`].
pub(crate) fn next_wakeup(
    rules: &Rules,
    member: &Member,
    farm: &Farm,
    now: DateTime<Utc>,
) -> Option<DateTime<Utc>> {
    let open = Duration::hours(i64::from(rules.question_hours));
    let expiry = farm.questions.iter().map(|q| q.at + open);
    let soonest = expiry.map(|at| at.max(now + Duration::seconds(1))).min();
    let reminds = member.joined && !member.stopped && !farm.units.is_empty();
    let reminder = reminds.then(|| next_reminder(rules, farm, now));
    soonest.into_iter().chain(reminder.flatten()).min()
}

fn next_reminder(rules: &Rules, farm: &Farm, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let today = farm_day(now, zone_of(rules, farm));
    let first = today.max(farm.away_until.unwrap_or(today));
    // Today's moment may have passed, and a clock change may move tomorrow's; the third always lies ahead.
    (0..3)
        .map(|later| reminder_moment(rules, farm, first + Duration::days(later)))
        .find(|moment| *moment > now)
}
