//! Word to an open page that the records have moved on, so that it loads anew by itself.
//!
//! The page carries a mark; the stream says once that another one holds. A page without a stream stands still and is as good. This room does not know
//! what has changed.

use crate::console::answer::{Answer, Refused, Stream};
use crate::console::visit::Visit;
use maud::{Markup, html};
use std::sync::Arc;

/// A stream of events.
///
/// # Errors
/// [`Refused::NotFound`] where the address has no mark.
pub fn stream(visit: &Visit<'_>) -> Result<Answer, Refused> {
    let mark = visit.query.get("mark").parse().ok();
    let mark = mark.ok_or(Refused::NotFound)?;
    let Ok(permit) = Arc::clone(&visit.console.streams).try_acquire_owned() else {
        // 204: the browser does not ask again (WHATWG HTML, section 9.2.3).
        return Ok(Answer::of("text/plain", Vec::new()).with_status(204));
    };
    Ok(Answer {
        stream: Some(Stream::Moved(mark, Arc::new(permit))),
        ..Answer::of("text/event-stream", Vec::new())
    })
}

/// A page's middle that is loaded anew when the records have moved on from `mark`, which was read before the page was made.
#[must_use]
pub fn marked(mark: u64, middle: &Markup) -> Markup {
    html! { div data-mark=(mark) { (middle) } }
}
