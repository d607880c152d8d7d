//! The view while playing: the share of phrases that start off the beat, the phrases in lanes, the
//! chosen phrase in detail, and alerts; in a large version for the stage as well.

pub mod alert;
pub mod calm;
pub mod chords;
pub mod entries;
pub mod figure;
pub mod interval;
pub mod lanes;
pub mod legend;
pub mod norms;
pub mod notes_plot;
pub mod phrase_detail;
pub mod phrase_lanes;
pub mod phrase_row;
pub mod stage_view;
pub mod waiting;
