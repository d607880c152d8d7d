//! What the panel can show besides the live snapshot, one plain struct for each view: take labels, the tune's
//! form, one take in detail, compared takes, drills, the library, progress. Worker and jobs fill them in and
//! publish them; the panel only lays them out.

pub(crate) mod changes;
pub(crate) mod comp_sheet;
pub mod comparison;
pub mod dates;
pub mod drill_past;
pub mod drill_score;
pub mod files;
pub mod hear;
pub mod input;
pub mod library;
pub mod look;
pub mod own_set;
pub mod practice;
pub mod progress;
pub mod selection;
pub mod setting;
pub mod staff;
pub(crate) mod take_detail;
pub mod take_grid;
pub(crate) mod titles;
pub mod tune;

use crate::view_model::comparison::CompareView;
use crate::view_model::dates::calendar;
use crate::view_model::files::FileProgress;
use crate::view_model::take_detail::TakeDetail;
use crate::view_model::tune::{TuneFault, TuneText};
use overbar_core::grid::band::OnsetStrength;
use overbar_core::session::take_list::TakeRow;
use overbar_core::take::TakeId;
use overbar_core::theory::form::Form;
use overbar_library::take_store::{Change, TakeMetadata};
use overbar_library::{Origin, Stamp};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A take, and the onset strength of the band beside it.
pub type BandHeard = (TakeId, Arc<OnsetStrength>);

/// What the worker publishes besides the live snapshot.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ViewModel {
    /// What the user added to each take.
    pub labels: BTreeMap<TakeId, TakeLabel>,
    /// What can be undone.
    pub undo: Option<Change>,
    /// What was undone and can be done again.
    pub redo: Option<Change>,
    /// The current tune, with its form as typed.
    pub tune: TuneText,
    /// What is wrong with the text last typed.
    pub tune_fault: Option<TuneFault>,
    /// The names of all known tunes.
    pub tunes: Vec<String>,
    /// The form parsed from it.
    pub form: Option<Form>,
    /// Why the last change of a take's beat grid failed.
    pub grid_fault: Option<(TakeId, String)>,
    /// The band's onset strength for the newest takes, while the plugin is open: no audio is kept.
    pub band_heard: Vec<BandHeard>,
    /// The shown take in detail.
    pub take_detail: Option<Arc<TakeDetail>>,
    /// Takes side by side, and the comp.
    pub compare: CompareView,
    /// Progress of reading or writing files.
    pub files: FileProgress,
    /// The file dialog is open.
    pub choosing: bool,
    /// The default output folder.
    pub usual_folder: String,
}

/// Take metadata.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TakeLabel {
    /// Its name; empty for none.
    pub name: String,
    /// It has a star.
    pub star: bool,
    /// A note by the user.
    pub remark: String,
    /// The tune it is of; empty where that is not known.
    pub tune: String,
    /// Who plays; empty where nobody was named.
    pub player: String,
    /// When it was recorded.
    pub began: Stamp,
    /// The same in local time, such as `2026-03-01 14:05`.
    pub when: String,
    /// It is a known take, played back by the host.
    pub playback: bool,
}

impl ViewModel {
    /// The take's name in a list, or its number if it has none.
    pub fn called(&self, take: &TakeRow) -> String {
        let name = self.labels.get(&take.id).map_or("", |label| label.name.as_str());
        titles::called(name, take.number)
    }
}

impl TakeLabel {
    /// From the take store's metadata.
    pub fn of(known: &TakeMetadata) -> Self {
        let labels = &known.labels;
        Self {
            name: labels.name.value.clone(),
            star: labels.star.value,
            remark: labels.remark.value.clone(),
            tune: labels.tune.value.clone(),
            player: labels.player.value.clone(),
            began: known.began,
            when: calendar(known.began),
            playback: known.origin == Origin::Playback,
        }
    }
}
