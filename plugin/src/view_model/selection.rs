//! The user's selection of takes and options for comparing and cutting, saved with the project.

use overbar_core::output::notation::WritingOptions;
use overbar_core::study::comp::{Aim, By, Column, Nudge};
use overbar_core::study::compare::{MAX_TAKES, Style};
use overbar_core::take::TakeId;
use overbar_core::theory::instrument::InstrumentPitch;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeMap;

/// Default number of bars in a column.
pub const USUAL_BARS: u32 = 4;

/// The unit of a column of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Columns {
    /// A chorus.
    Chorus,
    /// A section.
    Section,
    /// This many bars.
    Bars(u32),
}

impl Columns {
    /// For the sheet; bars if the tune has no form.
    pub fn by(self, has_form: bool) -> By {
        match self {
            Self::Chorus if has_form => By::Chorus,
            Self::Section if has_form => By::Section,
            other => By::Bars(other.bars()),
        }
    }

    /// Bars of a column if the tune has no form.
    pub fn bars(self) -> u32 {
        match self {
            Self::Bars(bars) => bars.max(1),
            Self::Chorus | Self::Section => USUAL_BARS,
        }
    }
}

/// The selection.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Selection {
    /// Takes to compare and to cut from, in the order of selection.
    pub takes: Vec<TakeId>,
    /// The style of recorded solos to compare with.
    #[serde(serialize_with = "style_name", deserialize_with = "style_named")]
    pub style: Style,
    /// The columns of the comp sheet.
    pub columns: Columns,
    /// The take of the comp from each of these bars on.
    pub cells: BTreeMap<i64, TakeId>,
    /// The aim that a proposed comp maximises.
    #[serde(serialize_with = "aim_name", deserialize_with = "aim_named")]
    pub aim: Aim,
    /// Whether edits move to the nearest rest.
    pub nudge: bool,
    /// The instrument that takes are notated for.
    #[serde(serialize_with = "pitch_id", deserialize_with = "pitch_of_id")]
    pub written_for: InstrumentPitch,
    /// Whether MusicXML marks phrase starts in words.
    pub starts_in_words: bool,
    /// The output folder; empty for the default.
    pub folder: String,
    /// The file or folder to import.
    pub source: String,
    /// The folder of the user's own set to compare with; empty for none.
    pub own_set: String,
    /// The folder of a class: each file gets a page.
    pub class: String,
}

impl Default for Selection {
    fn default() -> Self {
        Self {
            takes: Vec::new(),
            style: Style::All,
            columns: Columns::Bars(USUAL_BARS),
            cells: BTreeMap::new(),
            aim: Aim::Clean,
            nudge: true,
            written_for: InstrumentPitch::Concert,
            starts_in_words: false,
            folder: String::new(),
            source: String::new(),
            own_set: String::new(),
            class: String::new(),
        }
    }
}

impl Selection {
    /// Selects or deselects a take; ignored when the maximum is selected.
    pub fn choose(&mut self, take: TakeId, chosen: bool) {
        let there = self.takes.contains(&take);
        if !chosen {
            self.takes.retain(|id| *id != take);
        } else if !there && self.takes.len() < MAX_TAKES {
            self.takes.push(take);
        }
    }

    /// Assigns the bars from `first` up to `end` to a take; later bars are unchanged.
    pub fn give(&mut self, first: i64, end: i64, take: TakeId) {
        let after = self.at(end);
        self.cells.retain(|bar, _| *bar < first || *bar >= end);
        self.cells.insert(first, take);
        if let Some(after) = after {
            self.cells.entry(end).or_insert(after);
        }
    }

    /// The take assigned to bar `bar`; `None` before the first assignment.
    pub fn at(&self, bar: i64) -> Option<TakeId> {
        self.cells.range(..=bar).next_back().map(|(_, take)| *take)
    }

    /// The take of each column, as an index into `takes`; 0 if none is assigned or it no longer exists.
    pub fn choice(&self, columns: &[Column], takes: &[TakeId]) -> Vec<usize> {
        let index = |id: TakeId| takes.iter().position(|take| *take == id);
        let of = |column: &Column| self.at(column.first_bar).and_then(index).unwrap_or(0);
        columns.iter().map(of).collect()
    }

    /// For the sheet.
    pub fn nudge(&self) -> Nudge {
        if self.nudge { Nudge::ToRest } else { Nudge::No }
    }

    /// How takes are notated.
    pub fn writing(&self) -> WritingOptions {
        let starts_in_words = self.starts_in_words;
        WritingOptions { starts_in_words, ..WritingOptions::written_for(self.written_for) }
    }

    /// The selected aim, then the others as tie-breakers.
    pub fn aims(&self) -> Vec<Aim> {
        let others = Aim::ALL.into_iter().filter(|aim| *aim != self.aim);
        [self.aim].into_iter().chain(others).collect()
    }
}

fn style_name<S: Serializer>(style: &Style, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(style.name())
}

/// An unknown name, from a later version, means all styles.
fn style_named<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Style, D::Error> {
    let name = String::deserialize(deserializer)?;
    Ok(Style::named(&name).unwrap_or(Style::All))
}

fn aim_name<S: Serializer>(aim: &Aim, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(aim.name())
}

fn aim_named<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Aim, D::Error> {
    let name = String::deserialize(deserializer)?;
    Ok(Aim::named(&name).unwrap_or(Aim::Clean))
}

fn pitch_id<S: Serializer>(pitch: &InstrumentPitch, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(pitch.id())
}

/// An unknown id, from a later version, means concert pitch.
fn pitch_of_id<'de, D: Deserializer<'de>>(deserializer: D) -> Result<InstrumentPitch, D::Error> {
    let id = String::deserialize(deserializer)?;
    Ok(InstrumentPitch::of_id(&id).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_instrument_is_saved_by_id_and_defaults_to_concert_pitch() {
        let chosen = Selection { written_for: InstrumentPitch::LowBFlat, ..Selection::default() };
        let mut saved = serde_json::to_value(&chosen).unwrap();
        assert_eq!(saved["written_for"], "low-b-flat");
        assert_eq!(serde_json::from_value::<Selection>(saved.clone()).unwrap(), chosen);
        saved["written_for"] = "in-g".into();
        assert_eq!(
            serde_json::from_value::<Selection>(saved.clone()).unwrap(),
            Selection::default()
        );
        // A project saved before the setting existed.
        saved.as_object_mut().unwrap().remove("written_for");
        assert_eq!(serde_json::from_value::<Selection>(saved).unwrap(), Selection::default());
    }

    #[test]
    fn no_more_takes_are_selected_than_can_be_compared() {
        let mut chosen = Selection::default();
        (0..12).for_each(|take| chosen.choose(TakeId(take), true));
        chosen.choose(TakeId(3), true);
        chosen.choose(TakeId(0), false);
        let ids: Vec<u128> = chosen.takes.iter().map(|take| take.0).collect();
        assert_eq!(ids, [1, 2, 3, 4, 5, 6, 7]);
    }

    #[test]
    fn a_cell_is_assigned_and_the_others_stay() {
        let mut chosen = Selection::default();
        let (one, two) = (TakeId(1), TakeId(2));
        chosen.give(1, 5, one);
        assert_eq!((chosen.at(0), chosen.at(4), chosen.at(99)), (None, Some(one), Some(one)));
        chosen.give(5, 9, two);
        chosen.give(1, 9, one);
        chosen.give(3, 5, two);
        let by_bar: Vec<u128> = (1..=9).filter_map(|bar| chosen.at(bar)).map(|id| id.0).collect();
        assert_eq!(by_bar, [1, 1, 2, 2, 1, 1, 1, 1, 1]);
        let column = |first_bar| Column { label: String::new(), first_bar, bars: 2, chorus: 1 };
        let columns: Vec<Column> = [-1, 1, 3, 5].map(column).into();
        assert_eq!(chosen.choice(&columns, &[two, one]), [0, 1, 0, 1]);
        assert_eq!(chosen.choice(&columns, &[TakeId(9), one]), [0, 1, 0, 1], "take 2 is gone");
    }

    #[test]
    fn it_round_trips_and_unknown_names_give_defaults() {
        let mut chosen =
            Selection { style: Style::Bebop, aim: Aim::OffBeat, ..Selection::default() };
        chosen.choose(TakeId(7), true);
        chosen.give(-3, 1, TakeId(7));
        let written = serde_json::to_value(&chosen).unwrap();
        assert_eq!(serde_json::from_value::<Selection>(written).unwrap(), chosen);
        let later = r#"{"style":"later","aim":"later"}"#;
        assert_eq!(serde_json::from_str::<Selection>(later).unwrap(), Selection::default());
        assert_eq!(serde_json::from_str::<Selection>("{}").unwrap(), Selection::default());
    }
}
