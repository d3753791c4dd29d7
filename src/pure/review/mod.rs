//! Looking back over nights and weeks: what was recorded, how regular the nights were, when they lay, how
//! short they were, and a plan for moving bedtime.
//!
//! Nothing here compares the person with other people: what these numbers come out as depends on how
//! sleep is recorded, so they are only for comparing a person with themselves.

pub mod chart;
pub mod regularity;
pub mod share;
pub mod shift;
pub mod shortfall;
pub mod summary;
pub mod timing;
