//! What must hold of texts by message centre and by modem, once all is mended.
//!
//! 1. Each text that the gateway promised to keep is in the store, and its harvest counts once.
//! 2. Each text that the network has a part of is known as sent, in doubt or dead; what is known as sent, the network has whole.
//! 3. What receipts said is what happened; a receipt that was acknowledged and whose id is known is not lost.

use crate::centre::Centre;
use crate::scene::COOP;
use crate::sms::Sms;
use crate::stick::Stick;
use crate::ways::{Network, Ways};
use chrono::{DateTime, Duration, Utc};
use clutchline::domain::message::MessageNo;
use clutchline::store::Store;
use clutchline::store::delivery::{DeliveryState, SentRecord};
use clutchline::store::outbox::OutboxId;
use clutchline::store::records::MessageRecord;
use std::collections::{BTreeMap, BTreeSet};

/// The same text of the same phone within this time is told again.
const REPEAT: Duration = Duration::minutes(10);

/// Texts of the network that its link has settled: sent, in doubt, dead.
#[derive(Default)]
pub(crate) struct Fates {
    sent: BTreeMap<OutboxId, SentRecord>,
    dead: BTreeSet<OutboxId>,
    /// Messages whose answer is one of them.
    pub(crate) answered: BTreeSet<MessageNo>,
}

impl Fates {
    pub(crate) fn of(store: &Store) -> Self {
        let mut fates = Self::default();
        store
            .sent_back(COOP, |sent| {
                fates.answered.extend(sent.row.answers);
                fates.sent.insert(sent.row.id, sent);
                true
            })
            .unwrap();
        store
            .rows(COOP, |record| {
                if record.dead.is_some() {
                    fates.answered.extend(record.row.answers);
                    fates.dead.insert(record.row.id);
                }
                true
            })
            .unwrap();
        fates
    }
}

pub(crate) fn all_kept(
    ways: &Ways,
    fates: &Fates,
    messages: &BTreeMap<MessageNo, MessageRecord>,
    harvests: &BTreeMap<MessageNo, usize>,
) {
    for sms in ways.sms() {
        let apart_is_told = matches!(ways.network, Network::Centre(_));
        promised_and_once(sms, apart_is_told, messages, harvests);
    }
    match &ways.network {
        Network::Http => {}
        Network::Centre(carrier) => {
            centre_agrees(&carrier.centre, &carrier.shown, fates);
        }
        Network::Modem(stick) => modem_agrees(stick, fates),
    }
}

fn promised_and_once(
    sms: &Sms,
    apart_is_told: bool,
    messages: &BTreeMap<MessageNo, MessageRecord>,
    harvests: &BTreeMap<MessageNo, usize>,
) {
    assert!(
        sms.is_acked(),
        "{sms:?} was never taken, though all is mended"
    );
    let from = sms.from();
    let mine = messages
        .iter()
        .filter(|(_, kept)| kept.from == from && kept.text == sms.text);
    let counted: Vec<(DateTime<Utc>, usize)> = mine
        .map(|(no, kept)| (kept.received_at, harvests.get(no).copied().unwrap_or(0)))
        .collect();
    let there = || messages.values().filter(|kept| kept.from == from);
    // Parts without a stamp that come further apart than parts of one text do are not joined: the keeper is told.
    let told = apart_is_told && sms.parts.len() > 1 && there().any(|kept| kept.text == "[...]");
    if counted.is_empty() && told {
        return;
    }
    assert!(
        !counted.is_empty(),
        "{sms:?} was acknowledged and is gone; from that phone are {:?}",
        there().map(|kept| &kept.text).collect::<Vec<_>>()
    );
    // A message centre gives no id and no moment: told again later than this, a text may be a new one, and on another day it counts anew.
    let weighs = sms.text.starts_with('C') && sms.text.contains('.');
    let told_again_at_once = counted
        .windows(2)
        .filter(|_| weighs)
        .any(|pair| pair[1].1 + pair[0].1 > 1 && (pair[1].0 - pair[0].0).abs() < REPEAT);
    assert!(
        !told_again_at_once && counted.iter().all(|(_, times)| *times <= 1),
        "{sms:?} counts more than once: {counted:?}"
    );
}

fn centre_agrees(
    centre: &Centre,
    shown: &BTreeMap<OutboxId, clutchline::store::outbox::OutboxRow>,
    fates: &Fates,
) {
    let reference = |id: OutboxId| u16::try_from(id.0 & 0xFFFF).unwrap();
    let ids: BTreeMap<u16, OutboxId> = shown.keys().map(|id| (reference(*id), *id)).collect();
    let parts = |id: OutboxId| {
        let of = reference(id);
        let range = centre.submitted.range((of, 0)..=(of, u8::MAX));
        range.map(|(_, part)| part)
    };
    for ((row, part), submitted) in &centre.submitted {
        let id = ids[row];
        if submitted.taken.is_some() {
            let known = fates.sent.contains_key(&id) || fates.dead.contains(&id);
            assert!(known, "the network has part {part} of row {row}, forgotten");
        }
    }
    for (id, sent) in fates.sent.iter().filter(|(id, _)| shown.contains_key(id)) {
        let taken = parts(*id).filter(|part| part.taken.is_some()).count();
        if sent.doubt.is_none() {
            assert_eq!(
                taken,
                usize::from(sent.parts),
                "row {} is said to be sent",
                id.0
            );
        }
        match sent.state() {
            DeliveryState::Delivered => assert!(
                parts(*id).all(|part| part.delivered == Some(true)),
                "row {} is said to be delivered",
                id.0
            ),
            DeliveryState::Failed { .. } => assert!(
                parts(*id).any(|part| part.delivered == Some(false)),
                "row {} is said to have failed",
                id.0
            ),
            _ => {}
        }
    }
    for due in centre.receipts.iter().filter(|due| due.acked) {
        let plain = due.id.trim_start_matches('0');
        let sent = fates.sent.get(&ids[&due.key.0]);
        let part = sent.and_then(|sent| sent.ids.iter().find(|part| part.id == plain));
        if let Some(part) = part {
            assert!(
                part.said.is_some(),
                "the receipt of {plain} was acknowledged and is lost"
            );
        }
    }
}

fn modem_agrees(stick: &Stick, fates: &Fates) {
    for id in stick.taken.keys() {
        let known = fates.sent.contains_key(id) || fates.dead.contains(id);
        assert!(known, "the network has row {}, forgotten", id.0);
    }
    for (id, sent) in &fates.sent {
        if sent.doubt.is_none() && stick.shown.contains_key(id) {
            let taken = stick.taken.get(id).map_or(0, BTreeSet::len);
            assert_eq!(
                taken,
                usize::from(sent.parts),
                "row {} is said to be sent",
                id.0
            );
        }
    }
}
