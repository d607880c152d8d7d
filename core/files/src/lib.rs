//! Loads MIDI files and recordings for the same analysis as in the plugin, and writes output files without
//! overwriting others. For the command line and the plugin.

pub mod audio;
pub mod band;
pub mod beside;
pub mod grid;
pub mod load;
pub mod output;
pub mod recording;
pub mod score;
pub mod tables;
