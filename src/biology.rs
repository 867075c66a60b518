//! The sums behind every reply: what a cage will give, what harvests teach about it, when something is wrong, what to stock.
//!
//! How a desk uses it, from the ground up:
//!
//! - [`tables::Parameters`] holds every number of the trade; [`tables::TABLE`] lists name, default, unit, bounds and source for settings and documents.
//! - [`warmth::Temperatures`] gives a day's temperatures from the best source there is; [`warmth::Warmth`] the degree-days of a cage's days.
//! - [`history::CageHistory`] is a run as dates and weights. [`history::priors_by`] learns [`pooling::Priors`] from finished runs on top of a base (the ward's
//!   or the table's): call it for a ward first and give its result as the base of its farms. The [`prior::Prior`] of a kind of stock is carried in the stocking event.
//! - [`belief::Belief`] is what is believed of a running cage; [`belief::Belief::harvest`] learns one line. [`learned::Learned`] is what is kept of it
//!   between two lines, some 200 bytes: [`history::Run::resume`] goes on from it and learns only what came since.
//!   A line for an earlier day, or an undo, asks for [`history::Run::replay`], which learns a run anew and gives the same bits every time.
//! - [`history::Run::forecast`] is tomorrow, the next days and their total as [`mixture::Range`]s; [`history::Run::milestones`] first eggs, peak and retiring;
//!   [`sums::Sum`] adds cages up for a farm, a ward or a cooperative.
//! - [`warning::low_yield`] says which harvests were worth a warning. [`limits`] has the ceilings, [`limits::before_laying`] and [`limits::hatched_in_trap`].
//! - [`plan::plan`] answers `plan 50`; [`chain::Chain`] and [`chain::HoldBack`] follow eggs to pupae and say how many to keep.
//!
//! Pure: the same history on the same day gives the same answer. This room does not know members, messages, files or a clock.
//! Equations and limits are in `docs/model.md`.

pub mod belief;
pub mod chain;
pub mod curve;
pub mod degree_days;
pub mod finished;
pub mod history;
pub mod learned;
pub mod left_over;
pub mod lesson;
pub mod lessons;
pub mod limits;
pub mod mixture;
pub mod normal;
pub mod outlook;
pub mod plan;
pub mod pooling;
pub mod prior;
mod residuals;
pub mod shape;
pub mod stages;
pub mod sums;
pub mod tables;
pub mod warmth;
pub mod warning;
