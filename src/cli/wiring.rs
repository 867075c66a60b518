//! What a gateway runs on, whoever made it: the settings or the demo.
//!
//! This room does not run anything.

use crate::cli::ways::Way;
use crate::counter::Counter;
use crate::links::board::Board;
use crate::web::gate::Doors;
use crate::web::phone::Handset;
use std::path::PathBuf;
use std::sync::Arc;

/// The line for standard output, from the gateway's address.
pub type ReadyLine = Box<dyn Fn(&str) -> Option<String>>;

/// What a gateway runs on, made by the settings or by the demo.
pub struct Wiring {
    /// The folder.
    pub dir: PathBuf,
    /// Open on it.
    pub counter: Counter,
    /// Who may post.
    pub doors: Doors,
    /// The demo's phone page.
    pub handset: Option<Arc<Handset>>,
    /// Ways out, and in beside the web server.
    pub ways: Vec<Way>,
    /// How each link stands.
    pub board: Board,
    /// What goes to standard output when it is ready.
    pub ready: ReadyLine,
    /// Kept until the end: a temporary folder goes when it is dropped.
    pub keep: Option<tempfile::TempDir>,
}
