//! Reads where in the felt pulse notes were meant.

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
