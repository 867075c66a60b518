//! What happens without a message: farms that wake up.
//!
//! Runs on the writer thread, a bounded number of farms a turn, so that messages are not kept waiting.

use crate::counter::addressing::address;
use crate::counter::bench::Bench;
use crate::counter::judge;
use crate::counter::people::{self, Household};
use crate::counter::settings::Wakeups;
use crate::desk;
use crate::desk::farm::Farm;
use crate::domain::event::StreamId;
use crate::domain::rules::Rules;
use crate::store::StoreError;
use crate::store::draft::Draft;
use crate::store::outbox::Urgency;
use crate::store::records::Moment;
use crate::store::step::{Outgoing, Step};
use crate::store::wakeups::{self, Wakeup};
use crate::units::day::{farm_day, local_hour};
use chrono::{DateTime, Duration, Utc};
use chrono_tz::Tz;

/// Farms looked at in one turn of the writer: about as much work as one full batch of messages.
const FARMS_A_TURN: usize = 200;

/// Local hour from which a morning list is worthless...
const EVENING: u32 = 18;
/// ...or so long after the farm's own reminder hour, where that is late.
const LIST_KEEPS: Duration = Duration::hours(3);

/// Which wake-ups a round runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reach {
    /// As far as the settings say.
    Settings,
    /// To the clock's now, whatever they say.
    Now,
}

/// One turn of a round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Turn {
    /// Farms woken.
    pub(crate) woken: usize,
    /// Reminders made.
    pub(crate) reminders: usize,
    /// Where the next turn goes on; none: the round is over.
    pub(crate) past: Option<Wakeup>,
}

/// Wakes the next farms after `past`.
pub(crate) fn turn(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    past: Option<Wakeup>,
    reach: Reach,
) -> Result<Turn, StoreError> {
    let due = wakeups::due(draft, past, bench.now, FARMS_A_TURN)?;
    let mut turn = Turn::default();
    if due.len() == FARMS_A_TURN {
        turn.past = due.last().copied();
    }
    for wakeup in due {
        let Some(now) = when(bench, draft, wakeup, reach)? else {
            continue;
        };
        turn.woken += 1;
        turn.reminders += wake(bench, draft, wakeup, now)?;
    }
    Ok(turn)
}

/// The moment at which a farm wakes; none where it has to sleep on.
fn when(
    bench: &Bench<'_>,
    draft: &mut Draft<'_>,
    wakeup: Wakeup,
    reach: Reach,
) -> Result<Option<DateTime<Utc>>, StoreError> {
    if reach == Reach::Now || bench.settings.wakeups == Wakeups::ToNow {
        return Ok(Some(bench.now));
    }
    let farm = draft.load(wakeup.coop, &StreamId::Farm(wakeup.farm))?;
    let heard = farm.heard.is_some_and(|Moment(at)| wakeup.at <= at);
    Ok(heard.then_some(wakeup.at))
}

fn wake(
    bench: &mut Bench<'_>,
    draft: &mut Draft<'_>,
    wakeup: Wakeup,
    now: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let Wakeup { coop, farm: no, .. } = wakeup;
    let home = Household::load(draft, coop, no)?;
    let ward = people::member(&home.member)?.ward.clone();
    let rules = &people::rules_in(draft, coop, ward.as_deref(), &bench.settings.model)?;
    if home.farm.wake != Some(Moment(wakeup.at)) {
        // The farm was rebuilt from its events since, and sleeps by another moment.
        wakeups::forget(draft, wakeup);
        return judge::plan_wakeup(draft, coop, no, now).map(|()| 0);
    }
    let decision = desk::tick(
        rules,
        people::member(&home.member)?,
        people::farm(&home.farm)?,
        now,
    );
    let mut outgoing = Vec::new();
    if let Some(reply) = &decision.reply {
        let expires = worthless_from(rules, people::farm(&home.farm)?, now);
        if expires > bench.now
            && let Some((link, outbound)) = address(bench, draft, coop, no, reply)?
        {
            outgoing.push(Outgoing {
                link,
                urgency: Urgency::Reminder,
                outbound,
                answers: None,
                due: now,
                expires,
            });
        }
    }
    let reminders = outgoing.len();
    let changes = judge::changes(draft, coop, &decision, now, None)?;
    if !changes.is_empty() || reminders > 0 {
        let step = Step {
            coop,
            received: None,
            heard: None,
            changes,
            outgoing,
        };
        judge::push(bench, draft, step)?;
    }
    judge::plan_wakeup(draft, coop, no, now)?;
    Ok(reminders)
}

/// A morning list is worthless by the evening of its farm day.
fn worthless_from(rules: &Rules, farm: &Farm, now: DateTime<Utc>) -> DateTime<Utc> {
    let zone: Tz = farm
        .zone
        .as_ref()
        .unwrap_or(&rules.zone)
        .parse()
        .unwrap_or(Tz::UTC);
    let day = farm_day(now, zone);
    let hour = u32::from(farm.hour.unwrap_or(rules.hour));
    local_hour(day, EVENING, zone).max(local_hour(day, hour, zone) + LIST_KEEPS)
}
