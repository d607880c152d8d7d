//! MIDI files analysed as the plugin would, for `cargo xtask` and the stand-alone program.

pub mod corrections;
pub mod load;
pub mod options;
pub mod outcome;
pub mod report;
pub mod review;
pub mod tables;
