//! The user's choices for comparing takes and cutting a comp. Saved with the project.

use overbar_core::output::notation::WritingOptions;
use overbar_core::study::comp::{Aim, By, Column, Nudge};
use overbar_core::study::compare::{MOST_TAKES, Style};
use overbar_core::take::TakeId;
use overbar_core::theory::instrument::InstrumentPitch;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::collections::BTreeMap;

/// Default bars of a column.
pub const USUAL_BARS: u32 = 4;

/// What a column of the sheet holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Columns {
    /// A chorus.
    Chorus,
    /// A section.
    Section,
    /// So many bars.
    Bars(u32),
}

impl Columns {
    /// As the sheet takes it; bars if the tune has no form.
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

/// See the module.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Selection {
    /// Takes to compare and to cut from, in the order in which they were chosen.
    pub takes: Vec<TakeId>,
    /// The style of the recorded solos beside them.
    #[serde(serialize_with = "style_name", deserialize_with = "style_named")]
    pub style: Style,
    /// The columns of the comp sheet.
    pub columns: Columns,
    /// The take of the comp from each of these bars on.
    pub cells: BTreeMap<i64, TakeId>,
    /// The aim that a proposed comp is best at.
    #[serde(serialize_with = "aim_name", deserialize_with = "aim_named")]
    pub aim: Aim,
    /// Edits move to the nearest rest.
    pub nudge: bool,
    /// For which instrument takes are written on a staff.
    #[serde(serialize_with = "pitch_id", deserialize_with = "pitch_of_id")]
    pub written_for: InstrumentPitch,
    /// MusicXML says in words where phrases start.
    pub starts_in_words: bool,
    /// The folder that files are written to; empty for the default one.
    pub folder: String,
    /// The file or folder that takes are read from.
    pub source: String,
    /// The folder of the user's own solos to compare with; empty for none.
    pub own_set: String,
    /// The folder of a class: a page is written of each file.
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
    /// Selects a take or leaves it out; ignored when as many are selected as can be compared.
    pub fn choose(&mut self, take: TakeId, chosen: bool) {
        let there = self.takes.contains(&take);
        if !chosen {
            self.takes.retain(|id| *id != take);
        } else if !there && self.takes.len() < MOST_TAKES {
            self.takes.push(take);
        }
    }

    /// Assigns the bars from `first` up to `end` to a take, and leaves those after them.
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

    /// The take of each column, as an index in `takes`; 0 if none is assigned, or one that is gone.
    pub fn choice(&self, columns: &[Column], takes: &[TakeId]) -> Vec<usize> {
        let index = |id: TakeId| takes.iter().position(|take| *take == id);
        let of = |column: &Column| self.at(column.first_bar).and_then(index).unwrap_or(0);
        columns.iter().map(of).collect()
    }

    /// As the sheet takes it.
    pub fn nudge(&self) -> Nudge {
        if self.nudge { Nudge::ToRest } else { Nudge::No }
    }

    /// How takes are written on a staff.
    pub fn writing(&self) -> WritingOptions {
        let starts_in_words = self.starts_in_words;
        WritingOptions { starts_in_words, ..WritingOptions::written_for(self.written_for) }
    }

    /// The selected aim, then the others to break ties.
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
    fn the_instrument_is_saved_by_its_id_and_is_concert_pitch_where_none_is_known() {
        let chosen = Selection { written_for: InstrumentPitch::LowBFlat, ..Selection::default() };
        let mut saved = serde_json::to_value(&chosen).unwrap();
        assert_eq!(saved["written_for"], "low-b-flat");
        assert_eq!(serde_json::from_value::<Selection>(saved.clone()).unwrap(), chosen);
        saved["written_for"] = "in-g".into();
        assert_eq!(
            serde_json::from_value::<Selection>(saved.clone()).unwrap(),
            Selection::default()
        );
        // A project from before there was one.
        saved.as_object_mut().unwrap().remove("written_for");
        assert_eq!(serde_json::from_value::<Selection>(saved).unwrap(), Selection::default());
    }

    #[test]
    fn at_most_as_many_takes_are_chosen_as_can_be_compared() {
        let mut chosen = Selection::default();
        (0..12).for_each(|take| chosen.choose(TakeId(take), true));
        chosen.choose(TakeId(3), true);
        chosen.choose(TakeId(0), false);
        let ids: Vec<u128> = chosen.takes.iter().map(|take| take.0).collect();
        assert_eq!(ids, [1, 2, 3, 4, 5, 6, 7]);
    }

    #[test]
    fn a_cell_is_given_and_the_others_stay() {
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
    fn it_is_read_as_it_was_written_and_names_of_later_versions_are_none() {
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
