//! What several takes, or weeks of them, say together.
//!
//! Reads analysed takes and never changes them. Gives values; words and pages are `output`'s.

pub mod advice;
pub mod comp;
pub mod compare;
pub mod progress;
