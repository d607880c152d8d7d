//! Reads where in the felt pulse notes were meant, from the notes in and around each beat.
//!
//! A hidden Markov model (Rabiner 1989). Its states are the steps of a pulse that is divided in
//! two, three, four, five, six or eight, and "no spot" (`states`); a step from one onset to the
//! next is as likely as recorded and invented lines make it (`weights`); where a note falls
//! depends on what is believed of the player's lag, swing and scatter (`belief`). Some beliefs
//! are followed side by side, and learn from what they hear; one learns nothing and takes the
//! player for a usual one, for lines that show no steady timing of their own. The one that tells
//! best what was heard of late is read by.
//!
//! Three grades of reading:
//! - *at the onset*, by what came before;
//! - *settled*, when a note in a later beat has come, by what came up to that one;
//! - *after* ([`PlaceReader::whole`]), by all of the take, with lag, swing and scatter
//!   estimated over all of it.
//!
//! Readings depend on the onsets fed and on nothing else: [`PlaceReader::rewind`] leaves no trace.
//! The cost of an onset does not grow with the take.
//!
//! Limits: two notes a sixteenth of a fast beat apart in time lie within the scatter of any hand;
//! no model tells them apart by timing alone. A line whose swing is near 3 plays its "ands" where
//! sixteenths lie, and is then read as swung.

mod after;
mod belief;
mod column;
mod decide;
mod rate;
mod reader;
mod spot;
mod states;
mod weights;

pub use after::{Timing, Whole};
pub use decide::{Reading, alone};
pub use reader::PlaceReader;
pub use spot::Spot;

#[cfg(test)]
mod tests;
