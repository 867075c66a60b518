//! The ways out and in beside the web server: for each link of the settings, the driver that its kind asks for.
//!
//! A new kind of link is one arm here. This room does not know how a driver works; it starts it and hands it the word to stop.

use crate::cli::Trouble;
use crate::config::{Link, Settings};
use crate::counter::Counter;
use crate::domain::message::{CoopId, LinkName};
use crate::links::board::{Board, LinkKind, Seat};
use crate::links::driver::Sender;
use crate::links::smpp::driver::{self, Driver};
use crate::links::smpp::transport::Transport;
use futures_util::future::BoxFuture;
use std::sync::Arc;
use tokio::sync::watch;

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
            LinkKind::Modem => Err(Trouble("this kind has no driver".to_owned())),
        };
        ways.extend(way.map_err(|why| Trouble(format!("links.{name}: {why}")))?);
    }
    Ok(ways)
}

/// The driver of an account at a message centre. USSD dialogues are refused until a menu is hung in.
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
        menu: None,
        seed: u64::from(std::process::id()),
    };
    let folder = settings.store.folder.join("links");
    let driver = Driver::new(parts, &folder).map_err(Trouble::of)?;
    Ok(Some(Way::new(move |stop| Box::pin(driver.run(stop)))))
}

/// The way out of an http link; none where it has no address to post to.
fn http(link: &Link, seat: Seat, counter: &Counter) -> Result<Option<Way>, Trouble> {
    let Some(by) = link.send_by().map_err(Trouble)? else {
        return Ok(None);
    };
    let seed = u64::from(std::process::id());
    let clock = counter.clock().clone();
    let sender = Sender::new(seat, by, counter.clone(), clock, seed).map_err(Trouble::of)?;
    let sender = Arc::new(sender);
    Ok(Some(Way::new(move |stop| Box::pin(sender.run(stop)))))
}
