//! MIDI files analysed as the plugin would, and output files that replace no others: for the command line
//! and the plugin.

pub mod load;
pub mod output;
pub mod score;
pub mod tables;
