//! MIDI files and recordings analysed as the plugin would, and output files that replace no others: for the
//! command line and the plugin.

pub mod audio;
pub mod band;
pub mod beside;
pub mod grid;
pub mod load;
pub mod output;
pub mod recording;
pub mod score;
pub mod tables;
