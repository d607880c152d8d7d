//! Classes of starts as analysed, against the labels.

use super::parts::Absorb;
use super::solo::Solo;
use overbar_core::phrase::Phrase;
use overbar_core::quantization::PositionClass;
use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;

/// Counts by labelled class and analysed class, in the order of [`PositionClass::ALL`].
#[derive(Debug, Default, Clone, Copy, PartialEq)]
pub struct Confusion {
    counts: [[usize; 6]; 6],
}

impl Confusion {
    /// Compares starts as decided after the take, at the starts that were both found and labelled, in 4/4.
    /// The label is that of the note the start was quantised from, which follows any grace notes.
    ///
    /// # Errors
    /// If such a start has no labelled position.
    pub fn of(solo: &Solo) -> Result<Self, String> {
        Self::between(solo, solo.phrases.iter().map(|phrase| phrase.entry.class))
    }

    /// The same for settled starts.
    ///
    /// # Errors
    /// As [`Confusion::of`].
    pub fn settled(solo: &Solo) -> Result<Self, String> {
        Self::between(solo, solo.settled.iter().copied())
    }

    /// The same for starts as decided at the onset.
    ///
    /// # Errors
    /// As [`Confusion::of`].
    pub fn at_onset(solo: &Solo) -> Result<Self, String> {
        Self::between(solo, solo.at_onset.iter().copied())
    }

    fn between(solo: &Solo, classes: impl Iterator<Item = PositionClass>) -> Result<Self, String> {
        let mut confusion = Self::default();
        let found = |p: &Phrase| solo.label.begins_at(p.first_note..p.opening.note + 1);
        for (phrase, heard) in solo.phrases.iter().zip(classes).filter(|(p, _)| found(p)) {
            if let Some(labelled) = solo.label.class(phrase.opening.note)? {
                confusion.counts[index(labelled)][index(heard)] += 1;
            }
        }
        Ok(confusion)
    }

    /// How many were compared.
    pub fn of_all(&self) -> usize {
        self.counts.iter().flatten().sum()
    }

    /// How many have the same class.
    pub fn six(&self) -> usize {
        self.agreed(|class| class)
    }

    /// How many agree on whether they are on a beat, on the "and", or neither.
    pub fn three(&self) -> usize {
        self.agreed(|class| match PositionClass::ALL[class] {
            PositionClass::One | PositionClass::Beat => 0,
            PositionClass::And => 1,
            PositionClass::Triplet | PositionClass::Sixteenth | PositionClass::Other => 2,
        })
    }

    fn agreed(&self, grouped: impl Fn(usize) -> usize) -> usize {
        let cells = self.counts.iter().enumerate();
        cells
            .flat_map(|(labelled, row)| row.iter().enumerate().map(move |cell| (labelled, cell)))
            .filter(|(labelled, (heard, _))| grouped(*labelled) == grouped(*heard))
            .map(|(_, (_, count))| count)
            .sum()
    }

    /// As a table.
    pub fn table(&self) -> String {
        let mut text = format!("{:12}", "");
        for class in PositionClass::ALL {
            text += &format!("{:>10}", class.name());
        }
        for (class, row) in PositionClass::ALL.iter().zip(&self.counts) {
            text += &format!("\n  {:10}", class.name());
            for count in row {
                text += &format!("{count:>10}");
            }
        }
        text + "\n"
    }
}

impl Absorb for Confusion {
    fn absorb(&mut self, other: &Self) {
        for (cell, more) in self.counts.iter_mut().flatten().zip(other.counts.iter().flatten()) {
            *cell += more;
        }
    }
}

impl Serialize for Confusion {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let named = |row: &[usize; 6]| -> BTreeMap<PositionClass, usize> {
            PositionClass::ALL.into_iter().zip(row.iter().copied()).collect()
        };
        let table: BTreeMap<PositionClass, _> =
            PositionClass::ALL.into_iter().zip(self.counts.iter().map(named)).collect();
        let mut fields = serializer.serialize_struct("Confusion", 4)?;
        fields.serialize_field("of", &self.of_all())?;
        fields.serialize_field("six_agree", &self.six())?;
        fields.serialize_field("three_agree", &self.three())?;
        fields.serialize_field("labelled_then_heard", &table)?;
        fields.end()
    }
}

fn index(class: PositionClass) -> usize {
    PositionClass::ALL.iter().position(|known| *known == class).unwrap_or(0)
}
