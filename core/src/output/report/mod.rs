//! Reports: one self-contained HTML page for a take, a comparison, a comp or a teacher's students, and an index
//! of many takes. Pages load nothing; only the index runs a script, which sorts its table.
//!
//! Each page starts with what its reader came for: a sentence, three figures and a picture. Details follow.
//! The template crate escapes all text. Pictures are inline SVG with a title and a description, or are beside
//! the same content in words; everything they show is also in a table.

mod advice;
mod aligned;
mod comp;
mod compare;
mod figures;
mod glance;
mod index;
mod intervals;
mod lanes;
mod page;
mod picture;
mod progress;
mod progress_words;
mod reference;
mod roll;
mod sentence;
mod spread;
mod staff;
mod style;
mod system;
mod take;
mod week_chart;

pub use comp::comp_report;
pub use compare::{CompareReport, compare_report};
pub use index::{Entry, index};
pub use progress::{Student, progress_report};
pub use reference::OwnSolos;
pub use take::{TakeReport, take_report};

#[cfg(test)]
mod progress_tests;
#[cfg(test)]
mod staff_tests;
#[cfg(test)]
mod tests;
