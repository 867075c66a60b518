//! One text to many members: whom it is for, at which hours and how fast it goes, and how far it has come.
//!
//! `apply` is the only way the state changes. This room does not know phones or links.

use crate::desk::member::Member;
use crate::desk::prospect::Prospect;
use crate::domain::MemberNo;
use crate::domain::broadcast::{Audience, BroadcastEvent, BroadcastPlan};
use crate::domain::compact;
use crate::units::day::FarmDay;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Texts of one broadcast a minute: a thousand members in 17 minutes; answers and notices leave between them. Also how many may wait in the outbox at
/// once, so that a slow link is not flooded and stopping takes nearly all back.
pub const A_MINUTE: u32 = 60;
/// Characters of a text: three parts of 153 septets (3GPP TS 23.040). A longer one is a letter, and costs like one.
pub const TEXT_MAX: usize = 459;
/// Local hours within which texts to many go out: nobody is woken by one.
pub const HOURS: std::ops::Range<u32> = 7..20;
/// Broadcasts that may wait or run at once.
pub const OPEN_MAX: usize = 20;
/// Days ahead for which one may be planned.
pub const AHEAD_MAX_DAYS: i64 = 60;
/// Hundredths of a gram expected tomorrow from which on a farm's cages lay.
const LAYS_CG: i64 = 30;
/// Days within which eggs were taken from cages that lay.
const LAID_DAYS: usize = 7;

/// How a text to many stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Progress {
    /// For its time.
    #[default]
    Waits,
    /// Some went out.
    Runs,
    /// All did.
    Finished,
    /// Somebody stopped it.
    Stopped,
}

/// One text to many.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Broadcast {
    /// What was planned; none before anything happened.
    pub plan: Option<BroadcastPlan>,
    /// How it stands.
    pub progress: Progress,
    /// Members up to this one have been looked at; 0 is nobody's number.
    pub past: u32,
    /// Texts put into the outbox, those taken back left out.
    pub texts: u32,
    /// Members of the audience who want no texts or have no phone.
    pub left_out: u32,
    /// Its rows that lay in the outbox after its last turn.
    pub rows: Vec<u64>,
    /// When the last turn was.
    pub last: Option<TurnAt>,
}

/// The moment of a turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TurnAt(#[serde(with = "compact::moment")] pub DateTime<Utc>);

/// Why a text to many was not planned or stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BroadcastError {
    /// No text, or too long a one.
    #[error("expected a text of at the most 459 characters")]
    Text,
    /// A time that has passed, or too far ahead.
    #[error("expected a time from now on, 60 days ahead at the most")]
    Due,
    /// Too many at once.
    #[error("twenty texts to many wait or run already; stop one first")]
    TooMany,
    /// Nobody would get it.
    #[error("nobody is like that who wants texts")]
    Nobody,
    /// It is over.
    #[error("it is over already")]
    Over,
}

impl Broadcast {
    /// What the event makes of it.
    pub fn apply(&mut self, at: DateTime<Utc>, event: &BroadcastEvent) {
        match event {
            BroadcastEvent::Planned(plan) => self.plan = Some(plan.clone()),
            BroadcastEvent::Went(turn) => {
                self.progress = Progress::Runs;
                self.past = turn.past.0;
                self.texts = self
                    .texts
                    .saturating_add(u32::try_from(turn.rows.len()).unwrap_or(u32::MAX));
                self.left_out = self.left_out.saturating_add(turn.left_out);
                self.rows.extend(&turn.rows);
                // Those that have left are named before each turn and no more than a minute's wait, so that nothing goes over here; turns of
                // before they were named kept two minutes' rows.
                let surplus = self.rows.len().saturating_sub(2 * A_MINUTE as usize);
                self.rows.drain(..surplus);
                if !turn.rows.is_empty() {
                    self.last = Some(TurnAt(at));
                }
            }
            BroadcastEvent::Left(rows) => self.rows.retain(|row| !rows.contains(row)),
            BroadcastEvent::Finished => self.progress = Progress::Finished,
            BroadcastEvent::Stopped { taken_back, .. } => {
                self.progress = Progress::Stopped;
                self.texts = self.texts.saturating_sub(*taken_back);
                self.rows.clear();
            }
        }
    }

    /// Whether anything of it is still to come.
    #[must_use]
    pub const fn is_open(&self) -> bool {
        matches!(self.progress, Progress::Waits | Progress::Runs)
    }

    /// How many texts may go into the outbox now, where `waiting` of its texts still lie there.
    #[must_use]
    pub fn allowance(&self, now: DateTime<Utc>, waiting: usize) -> usize {
        let room = (A_MINUTE as usize).saturating_sub(waiting);
        let earned = self.last.map_or(i64::from(A_MINUTE), |TurnAt(last)| {
            now.signed_duration_since(last).num_seconds().max(0) * i64::from(A_MINUTE) / 60
        });
        room.min(usize::try_from(earned).unwrap_or(0))
    }
}

/// Whether a plan may be made: a text, a time, somebody to get it.
///
/// # Errors
/// What was expected instead.
pub fn plan(plan: &BroadcastPlan, open: usize, now: DateTime<Utc>) -> Result<(), BroadcastError> {
    let length = plan.text.chars().count();
    let ahead = plan.due.signed_duration_since(now);
    if plan.text.trim().is_empty() || length > TEXT_MAX {
        Err(BroadcastError::Text)
    } else if ahead.num_minutes() < -1 || ahead.num_days() > AHEAD_MAX_DAYS {
        Err(BroadcastError::Due)
    } else if open >= OPEN_MAX {
        Err(BroadcastError::TooMany)
    } else if plan.people == 0 {
        Err(BroadcastError::Nobody)
    } else {
        Ok(())
    }
}

/// Whether the member is one of those a text is for; `prospect` is the farm's row, where it has one.
#[must_use]
pub fn is_for(
    audience: &Audience,
    member: &Member,
    prospect: Option<&Prospect>,
    today: FarmDay,
) -> bool {
    let ward = member.ward.as_deref();
    let of_ward = audience.wards.is_empty()
        || ward.is_some_and(|ward| audience.wards.iter().any(|known| known == ward));
    let of_lang = audience.lang.is_none_or(|lang| lang == member.lang);
    let silent = audience.silent_days.is_none_or(|days| {
        let last = prospect.and_then(|prospect| prospect.last_entry);
        last.is_none_or(|last| today.signed_duration_since(last).num_days() >= i64::from(days))
    });
    let laying = !audience.laying || prospect.is_some_and(lays);
    member.joined && of_ward && of_lang && silent && laying
}

/// Eggs were taken this week, or are expected tomorrow.
fn lays(prospect: &Prospect) -> bool {
    let taken = prospect
        .taken
        .iter()
        .rev()
        .take(LAID_DAYS)
        .any(|cg| *cg > 0);
    let tomorrow = prospect
        .ahead
        .first()
        .is_some_and(|share| share.mean >= LAYS_CG);
    prospect.cages > 0 && (taken || tomorrow)
}

/// The next member to look at.
#[must_use]
pub const fn first_after(past: u32) -> MemberNo {
    MemberNo(past.saturating_add(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::broadcast::BroadcastTurn;
    use crate::domain::lang::Lang;

    #[test]
    fn a_minute_earns_so_many_texts_and_no_more_wait_than_that() {
        let at = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
        let mut broadcast = Broadcast::default();
        assert_eq!(broadcast.allowance(at("2026-03-10T08:00:00Z"), 0), 60);
        let turn = BroadcastTurn {
            past: MemberNo(60),
            rows: (0..60).collect(),
            left_out: 1,
        };
        broadcast.apply(at("2026-03-10T08:00:00Z"), &BroadcastEvent::Went(turn));
        let allowed =
            |time: &str, waiting| broadcast.allowance(at(&format!("2026-03-10T{time}Z")), waiting);
        assert_eq!(allowed("08:00:00", 0), 0);
        assert_eq!(allowed("08:00:10", 0), 10);
        assert_eq!(allowed("08:05:00", 0), 60);
        assert_eq!(allowed("08:05:00", 58), 2);
        assert_eq!(allowed("07:59:00", 0), 0, "a clock set back earns nothing");
        assert_eq!(
            (broadcast.texts, broadcast.left_out, broadcast.past),
            (60, 1, 60)
        );
    }

    #[test]
    fn an_audience_is_a_ward_a_language_a_silence_and_cages_that_lay() {
        let today = FarmDay::from_ymd_opt(2026, 3, 10).unwrap();
        let mut member = Member::empty(MemberNo(2001));
        member.joined = true;
        member.ward = Some("Msitu".to_owned());
        let mut prospect = Prospect {
            cages: 1,
            last_entry: today.pred_opt(),
            taken: vec![0; 28],
            ..Prospect::default()
        };
        let is = |audience: &Audience, prospect: &Prospect| {
            is_for(audience, &member, Some(prospect), today)
        };
        let all = Audience::default();
        assert!(is(&all, &prospect));
        let ward = |name: &str| Audience {
            wards: vec![name.to_owned()],
            ..Audience::default()
        };
        assert!(is(&ward("Msitu"), &prospect) && !is(&ward("Ufukwe"), &prospect));
        let french = Audience {
            lang: Lang::new("fr"),
            ..Audience::default()
        };
        assert!(!is(&french, &prospect));
        let silent = |days| Audience {
            silent_days: Some(days),
            ..Audience::default()
        };
        assert!(is(&silent(1), &prospect) && !is(&silent(2), &prospect));
        let laying = Audience {
            laying: true,
            ..Audience::default()
        };
        assert!(!is(&laying, &prospect), "stocked, but no eggs yet");
        prospect.taken[25] = 120;
        assert!(is(&laying, &prospect));
        assert!(!is_for(&laying, &member, None, today));
    }
}
