//! Which moment a message counts for.
//!
//! This room does not know what a message says.

use crate::counter::settings::Settings;
use crate::domain::message::Inbound;
use chrono::{DateTime, SubsecRound, Utc};

/// Neither in the future nor older than the settings allow.
pub(crate) fn believable(moment: DateTime<Utc>, settings: &Settings, now: DateTime<Utc>) -> bool {
    let oldest = settings.oldest_sent_at.map(|age| now - age);
    moment <= now && oldest.is_none_or(|oldest| moment >= oldest) && moment.timestamp() >= 0
}

/// Which moment counts for a message: the network's where it is known and believed; else the gateway's.
/// Whole milliseconds, so that redelivery keys and events say the same.
pub(crate) fn accept_sent_at(inbound: &mut Inbound, settings: &Settings, now: DateTime<Utc>) {
    if !(inbound.sent_at_known && believable(inbound.sent_at, settings, now)) {
        inbound.sent_at_known = false;
        inbound.sent_at = now;
    }
    inbound.sent_at = inbound.sent_at.trunc_subsecs(3);
}
