//! The live view: the share of off-beat starts, the phrases in lanes, the chosen phrase in detail, and
//! alerts; also in a large version for the stage.

pub(super) mod alert;
pub(super) mod calm;
pub(super) mod chords;
pub(super) mod entries;
pub(super) mod figure;
pub(super) mod interval;
pub(super) mod lanes;
pub(super) mod legend;
pub(super) mod notes_plot;
pub(super) mod phrase_detail;
pub(super) mod phrase_lanes;
mod phrase_notes;
pub(super) mod phrase_row;
mod phrase_staff;
pub(super) mod stage_view;
mod timing_strip;
pub(super) mod waiting;

pub(super) use self::figure::OFF_BEAT_STARTS;
