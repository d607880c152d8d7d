//! The comp: one solo cut together from several takes.
//!
//! A [`Sheet`] has a row per take and a column per chorus, section or group of bars. A choice of
//! one take per column is a comp: [`Sheet::cut`] splices its notes, analyses them and checks every
//! edit; [`Sheet::propose`] finds the best choice for given aims.
//!
//! # Conventions
//! - Takes cover the same bars of the song, each with its own tempo and metres.
//! - An edit falls on the bar line where a column starts, or is nudged off it; both takes are cut
//!   at the same distance from the bar line.
//! - A note belongs to the run of its attack. A note that still sounds at an edit ends there.

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
