//! MIDI files heard as the plugin would, for the commands of a terminal: those of `cargo xtask` and
//! of the stand-alone program.

pub mod corrections;
pub mod hear;
pub mod options;
pub mod outcome;
pub mod report;
pub mod review;
