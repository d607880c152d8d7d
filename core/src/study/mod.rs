//! Advice on a take, comparison of takes, comps, and progress over weeks.
//!
//! Takes analyses of takes and returns values with their sentences; pages and tables belong to `output`.

pub mod advice;
pub mod comp;
pub mod compare;
pub mod progress;
