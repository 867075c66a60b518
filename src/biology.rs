//! The sums behind every reply: warmth, expected eggs, what harvests teach, warnings, the plan.

pub mod belief;
pub mod chain;
pub mod curve;
pub mod degree_days;
pub mod history;
pub mod limits;
pub mod normal;
pub mod outlook;
pub mod plan;
pub mod pooling;
pub mod prior;
mod residuals;
pub mod shape;
pub mod stages;
pub mod tables;
pub mod warmth;
pub mod warning;
