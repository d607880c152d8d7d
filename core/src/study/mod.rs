//! Advice on a take, comparison of takes, comps, and progress over weeks.
//!
//! Works on analysed takes. Returns values with their sentences; pages and tables belong to `output`.

pub mod advice;
pub mod comp;
pub mod compare;
pub mod progress;
