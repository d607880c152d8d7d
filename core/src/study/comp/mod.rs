//! The comp: one solo cut together from several takes.
//!
//! A [`Sheet`] has a row for each take and a column for each chorus, section or group of bars.
//! A choice of one take a column is a comp: [`Sheet::cut`] splices its notes, reads them anew and
//! checks every seam; [`Sheet::propose`] finds the best choice for stated aims.
//!
//! # Conventions
//! - Takes lie over the same bars of the song, each with its own tempo and metres.
//! - A seam falls on the bar line where a column begins, or as far from it as it is nudged; both
//!   takes are cut at the same distance from the bar line.
//! - A note belongs to the run its attack lies in. One that still sounds at a seam ends there.

mod aim;
mod column;
mod cues;
mod cut;
mod edit_point;
mod error;
mod lane;
mod score;
mod search;
mod sheet;
mod splice;

pub use aim::Aim;
pub use column::{By, Column};
pub use cues::{Cue, cues, cues_as_text};
pub use cut::Comp;
pub use edit_point::{EditFault, EditPoint, EditSide, Nudge};
pub use error::CompError;
pub use lane::Source;
pub use sheet::Sheet;
pub use splice::Run;

#[cfg(test)]
mod brute_tests;
#[cfg(test)]
mod edit_point_tests;
