//! The phone page of the demo.

use actix_web::web::ServiceConfig;

/// x
pub struct Handset;

/// x
pub fn attach(_app: &mut ServiceConfig) {}
