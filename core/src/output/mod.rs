//! The program's output: text, JSON, pages, tables, MIDI and scores, as strings and bytes, and takes to listen
//! to, as timed events.
//!
//! The last stage: it uses all others, and none uses it. Nothing here touches a file.

pub mod engraving;
pub mod export;
pub mod feel_words;
pub mod hear;
pub mod notation;
pub mod report;
pub mod review;
pub mod words;
