//! Names that the room's door, its pages and its answers share.

/// Where the room begins.
pub(crate) const START: &str = "/console";
/// The session's cookie.
pub(crate) const SESSION_COOKIE: &str = "clutchline-session";
/// The language's cookie.
pub(crate) const LANG_COOKIE: &str = "clutchline-lang";
/// The cookie that ties a sign-in form to the browser that asked for it.
pub(crate) const SIGN_IN_COOKIE: &str = "clutchline-sign-in";
/// The hidden field of every form.
pub(crate) const FORM_TOKEN: &str = "token";
/// What an address says that the script asks for by itself.
pub(crate) const LIVE: &str = "live";
