//! Answers on their way out: headers and cookies of every page, files that are written while they are sent, word that the records have moved on.
//!
//! This room does not know what a page shows.

use crate::console::Console;
use crate::console::answer::{Answer, Flow, Stream};
use crate::console::names::{LANG_COOKIE, SESSION_COOKIE, SIGN_IN_COOKIE, START};
use crate::counter::Counter;
use actix_web::HttpResponse;
use actix_web::cookie::{Cookie, SameSite, time};
use actix_web::http::{StatusCode, header};
use actix_web::web::Bytes;
use futures_util::StreamExt;
use futures_util::future::ready;
use futures_util::stream::{self, Stream as Pieces};
use std::io::{self, Write};
use std::sync::Arc;
use std::time::Duration;
use tokio::runtime::Handle;
use tokio::sync::OwnedSemaphorePermit;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio::time::{Interval, interval, timeout};

/// Nothing but our own style sheet and script, nothing in line, nothing from elsewhere, in nobody's frame.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
/// Bytes of a file sent in one piece, and pieces that wait for the browser.
const PIECE: usize = 64 * 1024;
const PIECES_WAITING: usize = 4;
/// A browser that takes no piece of a file for this long is gone.
const PATIENCE: Duration = Duration::from_secs(60);
/// Between two looks at whether the records have moved on.
const LOOK_EVERY: Duration = Duration::from_secs(5);
/// A page stands for so many looks at least: fifteen seconds to read it, and a busy morning does not load it without end.
const LOOKS_BEFORE: u32 = 3;
/// After so many looks something is sent, so that a proxy keeps the line open.
const LOOKS_QUIET: u32 = 4;
/// A stream ends after so many looks, a quarter of an hour; the browser asks again.
const LOOKS_MAX: u32 = 180;

/// The answer as it is sent, with the headers that every page has.
pub(crate) async fn respond(
    answer: Answer,
    fresh: Option<String>,
    secure: bool,
    console: &Console,
) -> HttpResponse {
    let (answer, first, rest) = begun(answer).await;
    let status = StatusCode::from_u16(answer.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let mut response = HttpResponse::build(status);
    response
        .content_type(answer.kind)
        .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
        .insert_header((header::REFERRER_POLICY, "same-origin"))
        .insert_header((header::X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .insert_header((header::X_FRAME_OPTIONS, "DENY"))
        .insert_header(("cross-origin-opener-policy", "same-origin"))
        .insert_header(("cross-origin-resource-policy", "same-origin"))
        .insert_header((
            "permissions-policy",
            "camera=(), microphone=(), geolocation=()",
        ))
        .insert_header((header::CACHE_CONTROL, "no-store"));
    if secure {
        response.insert_header((header::STRICT_TRANSPORT_SECURITY, "max-age=31536000"));
    }
    if let Some(location) = &answer.location {
        response.insert_header((header::LOCATION, location.as_str()));
    }
    if let Some(file) = &answer.file {
        let named = format!("attachment; filename=\"{file}\"");
        response.insert_header((header::CONTENT_DISPOSITION, named));
    }
    let cookies = [
        answer
            .session
            .map(|value| (SESSION_COOKIE, value, true, SameSite::Lax)),
        answer
            .lang
            .map(|value| (LANG_COOKIE, value, true, SameSite::Lax)),
        fresh.map(|value| (SIGN_IN_COOKIE, value, true, SameSite::Strict)),
    ];
    for (name, value, http_only, same_site) in cookies.into_iter().flatten() {
        let gone = value.is_empty();
        let mut cookie = Cookie::new(name, value);
        cookie.set_path(START);
        cookie.set_http_only(http_only);
        cookie.set_same_site(same_site);
        cookie.set_secure(secure);
        if gone {
            cookie.set_max_age(time::Duration::ZERO);
        } else if name == LANG_COOKIE {
            cookie.set_max_age(time::Duration::days(365));
        }
        response.cookie(cookie);
    }
    if let Some(rest) = rest {
        let first = stream::once(ready(Ok::<Bytes, io::Error>(first)));
        return response.streaming(first.chain(rest));
    }
    match answer.stream {
        Some(Stream::Moved(mark, permit)) => {
            response.streaming(moved(console.counter.clone(), mark, permit))
        }
        _ => response.body(answer.body),
    }
}

/// The style sheet.
pub(crate) async fn css() -> HttpResponse {
    asset(
        "text/css; charset=utf-8",
        include_str!("../web/assets/console.css"),
    )
}

/// The style sheet of what is printed.
pub(crate) async fn print_css() -> HttpResponse {
    asset(
        "text/css; charset=utf-8",
        include_str!("../web/assets/print.css"),
    )
}

/// The script.
pub(crate) async fn js() -> HttpResponse {
    asset(
        "text/javascript; charset=utf-8",
        include_str!("../web/assets/console.js"),
    )
}

fn asset(kind: &'static str, body: &'static str) -> HttpResponse {
    HttpResponse::Ok()
        .content_type(kind)
        .insert_header((header::X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .insert_header((header::CACHE_CONTROL, "public, max-age=300"))
        .body(body)
}

/// A file's first piece and the rest of it, or the page to go to where it failed before that; any other answer as it is.
async fn begun(answer: Answer) -> (Answer, Bytes, Option<impl Pieces<Item = io::Result<Bytes>>>) {
    let Some(Stream::File(flow)) = answer.stream.clone() else {
        return (answer, Bytes::new(), None);
    };
    let failed = flow.failed.clone();
    let (send, mut pieces) = channel(PIECES_WAITING);
    tokio::task::spawn_blocking(move || write(&flow, &send));
    // The answer's own hold on the file, and on its place among those that are made, ends with the file.
    let answer = Answer {
        stream: None,
        ..answer
    };
    match pieces.recv().await {
        Some(Ok(first)) => (answer, first, Some(rest_of(pieces))),
        None => (answer, Bytes::new(), None),
        Some(Err(why)) => {
            tracing::warn!(%why, "a file could not be made");
            (Answer::go(&failed), Bytes::new(), None)
        }
    }
}

fn rest_of(pieces: Receiver<io::Result<Bytes>>) -> impl Pieces<Item = io::Result<Bytes>> {
    stream::unfold(pieces, |mut pieces| async {
        pieces.recv().await.map(|piece| (piece, pieces))
    })
}

fn write(flow: &Flow, send: &Sender<io::Result<Bytes>>) {
    let mut out = Out {
        send,
        waiting: Vec::with_capacity(PIECE),
    };
    let done = (flow.write)(&mut out).and_then(|()| out.send_waiting());
    if let Err(why) = done {
        // The browser sees a file that broke off instead of one that looks whole.
        give(send, Err(why)).ok();
    }
}

fn give(send: &Sender<io::Result<Bytes>>, piece: io::Result<Bytes>) -> io::Result<()> {
    let sent = Handle::current().block_on(timeout(PATIENCE, send.send(piece)));
    match sent {
        Ok(Ok(())) => Ok(()),
        Ok(Err(_)) | Err(_) => Err(io::Error::other("the browser is gone")),
    }
}

/// What is written, a piece at a time.
struct Out<'s> {
    send: &'s Sender<io::Result<Bytes>>,
    waiting: Vec<u8>,
}

impl Write for Out<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.waiting.extend_from_slice(bytes);
        if self.waiting.len() >= PIECE {
            self.send_waiting()?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        // Writers flush as they please; small pieces are not worth sending before the end.
        Ok(())
    }
}

impl Out<'_> {
    fn send_waiting(&mut self) -> io::Result<()> {
        if self.waiting.is_empty() {
            return Ok(());
        }
        let piece = std::mem::replace(&mut self.waiting, Vec::with_capacity(PIECE));
        give(self.send, Ok(Bytes::from(piece)))
    }
}

/// What a stream of events goes by.
struct Watch {
    counter: Counter,
    mark: u64,
    looks: u32,
    every: Interval,
    _permit: Arc<OwnedSemaphorePermit>,
}

/// Server-sent events (WHATWG HTML, section 9.2): one named `moved` once the records have moved on from the mark, comments until then.
fn moved(
    counter: Counter,
    mark: u64,
    permit: Arc<OwnedSemaphorePermit>,
) -> impl Pieces<Item = io::Result<Bytes>> {
    let watch = Watch {
        counter,
        mark,
        looks: 0,
        every: interval(LOOK_EVERY),
        _permit: permit,
    };
    let hello = stream::once(ready(Ok(Bytes::from_static(b"retry: 30000\n\n"))));
    hello.chain(stream::unfold(Some(watch), |watch| async {
        let mut watch = watch?;
        while watch.looks < LOOKS_MAX {
            watch.every.tick().await;
            watch.looks += 1;
            let now = watch.counter.mark();
            if watch.looks > LOOKS_BEFORE && now != watch.mark {
                let event = format!("event: moved\ndata: {now}\n\n");
                return Some((Ok(Bytes::from(event)), None));
            }
            if watch.looks.is_multiple_of(LOOKS_QUIET) {
                return Some((Ok(Bytes::from_static(b": still here\n\n")), Some(watch)));
            }
        }
        None
    }))
}
