//! The ways out and in beside the web server: for each link of the settings, the driver that its kind asks for.
//!
//! A new kind of link is one arm here. This room does not know how a driver works; it starts it and hands it the word to stop.

use crate::cli::Trouble;
use crate::config::{Link, Settings};
use crate::counter::Counter;
use crate::domain::message::{CoopId, LinkName};
use crate::links::board::{Board, LinkKind, Seat, Standing};
use crate::links::driver::Sender;
use crate::links::failover::Failover;
use crate::links::leftovers;
use crate::links::modem;
use crate::links::smpp::dialogues;
use crate::links::smpp::driver::{self, Driver};
use crate::links::smpp::transport::Transport;
use futures_util::future::BoxFuture;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::watch;
use tokio::time::timeout;

/// Between two looks for texts that are to go by another link.
const LOOK_EVERY: Duration = Duration::from_secs(5);

/// One driver, ready to run until the word to stop comes.
pub struct Way(Box<dyn FnOnce(watch::Receiver<bool>) -> BoxFuture<'static, ()> + Send>);

impl Way {
    /// A driver that runs as `run` says.
    pub fn new(
        run: impl FnOnce(watch::Receiver<bool>) -> BoxFuture<'static, ()> + Send + 'static,
    ) -> Self {
        Self(Box::new(run))
    }

    /// Runs it.
    #[must_use]
    pub fn run(self, stop: watch::Receiver<bool>) -> BoxFuture<'static, ()> {
        (self.0)(stop)
    }
}

/// The drivers of all links, each with its seat on `board`.
///
/// # Errors
/// When a link's settings do not hold together; the message names the link.
pub fn open(settings: &Settings, counter: &Counter, board: &Board) -> Result<Vec<Way>, Trouble> {
    let mut ways = Vec::new();
    for (name, link) in &settings.links {
        let kind = LinkKind::named(&link.kind)
            .ok_or_else(|| Trouble(format!("links.{name}: there is no kind {:?}", link.kind)))?;
        let seat = board.seat(&LinkName(name.clone()), kind, counter.clock().now());
        let way = match kind {
            LinkKind::Http => http(link, seat, counter),
            LinkKind::Smpp => smpp(link, settings, seat, counter),
            LinkKind::Modem => modem(link, settings, seat, counter),
        };
        ways.extend(way.map_err(|why| Trouble(format!("links.{name}: {why}")))?);
        if !link.failover.is_empty() {
            let rule = Failover {
                from: LinkName(name.clone()),
                to: LinkName(link.failover.clone()),
                after: u16::try_from(link.failover_after).unwrap_or(u16::MAX),
            };
            ways.push(failover(rule, board.clone(), counter.clone()));
        }
    }
    Ok(ways)
}

/// Has what links keep beside the store lose an erased member and what is old: `running` links do so themselves, for the files of others this process
/// does. Whom a process that died could not tell them of, they forget now.
pub fn look_after(settings: &Settings, counter: &Counter, running: bool) {
    let keeps =
        |link: &Link| LinkKind::named(&link.kind).is_some_and(|kind| kind != LinkKind::Http);
    let own = settings
        .links
        .iter()
        .filter(|(_, link)| running && keeps(link));
    let own = own.map(|(name, _)| name.clone()).collect();
    let coops = settings.links.iter();
    let coops = coops
        .map(|(name, link)| (name.clone(), CoopId(link.coop)))
        .collect();
    leftovers::look_after(counter, settings.store.folder.join("links"), own, coops);
    counter.all_beside_are_here();
}

/// The driver of an account at a message centre, with the menu behind its USSD dialogues.
fn smpp(
    link: &Link,
    settings: &Settings,
    seat: Seat,
    counter: &Counter,
) -> Result<Option<Way>, Trouble> {
    let profile = link
        .smpp
        .profile(link)
        .map_err(|(key, wanted)| Trouble(format!("smpp.{key} must be {wanted}")))?;
    let (address, name) = (&link.smpp.address, &link.smpp.tls_name);
    let trust = link.smpp.trust();
    let transport = Transport::new(address, trust.as_ref(), name).map_err(Trouble::of)?;
    let parts = driver::Parts {
        seat,
        profile,
        transport,
        counter: counter.clone(),
        coop: CoopId(link.coop),
        menu: Some(dialogues::behind(counter.clone(), CoopId(link.coop))),
        seed: u64::from(std::process::id()),
    };
    let folder = settings.store.folder.join("links");
    let driver = Driver::new(parts, &folder).map_err(Trouble::of)?;
    Ok(Some(Way::new(move |stop| Box::pin(driver.run(stop)))))
}

/// The driver of a modem on a serial port.
fn modem(
    link: &Link,
    settings: &Settings,
    seat: Seat,
    counter: &Counter,
) -> Result<Option<Way>, Trouble> {
    let mut profile = link
        .modem
        .profile(link)
        .map_err(|(key, wanted)| Trouble(format!("modem.{key} must be {wanted}")))?;
    if let Some(file) = link.modem.pin_file() {
        profile.pin = Some(modem::pin::from_file(file).map_err(Trouble::of)?);
    }
    let parts = modem::driver::Parts {
        seat,
        profile,
        counter: counter.clone(),
        coop: CoopId(link.coop),
        seed: u64::from(std::process::id()),
    };
    let folder = settings.store.folder.join("links");
    let driver = modem::driver::Driver::new(parts, &folder).map_err(Trouble::of)?;
    Ok(Some(Way::new(move |stop| Box::pin(driver.run(stop)))))
}

/// Looks again and again whether texts are to go by another link.
fn failover(rule: Failover, board: Board, counter: Counter) -> Way {
    Way::new(move |mut stop| {
        Box::pin(async move {
            // A sender that is gone counts as the word to stop.
            while let Err(_time_is_up) = timeout(LOOK_EVERY, stop.changed()).await {
                let (rule, board, counter) = (rule.clone(), board.clone(), counter.clone());
                let now = counter.clock().now();
                let look = move || (rule.overflow(&board, &counter, now), rule);
                match tokio::task::spawn_blocking(look).await {
                    Ok((Ok(0), _)) => {}
                    Ok((Ok(moved), rule)) => {
                        tracing::warn!(from = %rule.from, to = %rule.to, moved, "texts go by another link");
                    }
                    Ok((Err(error), rule)) => {
                        tracing::error!(from = %rule.from, %error, "texts could not be moved");
                    }
                    Err(_) => return,
                }
            }
        })
    })
}

/// The way out of an http link; none where it has no address to post to.
fn http(link: &Link, seat: Seat, counter: &Counter) -> Result<Option<Way>, Trouble> {
    let clock = counter.clock().clone();
    let Some(by) = link.send_by().map_err(Trouble)? else {
        seat.only_receives("takes texts; sends none until send_url is set", clock.now());
        return Ok(None);
    };
    // There is no session that could be down: until a text fails, texts pass.
    seat.stand(Standing::Up, "", clock.now());
    let seed = u64::from(std::process::id());
    let sender = Sender::new(seat, by, counter.clone(), clock, seed).map_err(Trouble::of)?;
    let sender = Arc::new(sender);
    Ok(Some(Way::new(move |stop| Box::pin(sender.run(stop)))))
}
