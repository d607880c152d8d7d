//! What leaves the program: text, JSON, pages, tables, MIDI and scores, as strings and bytes, and takes to be
//! heard, as events in time.
//!
//! The last stage: it reads all others, and none reads it. Nothing here touches a file.

pub mod engraving;
pub mod export;
pub mod feel_words;
pub mod hear;
pub mod notation;
pub mod report;
pub mod review;
pub mod words;
