//! The parts of a take: its solos and, with a form, its choruses and sections, with a few figures each
//! and the trends from chorus to chorus.

use crate::analysis::overview::TakeFigures;
use crate::analysis::solos::solos;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::phrase::Phrase;
use crate::phrase::figures::figures;
use crate::theory::form::{Form, Part, Slice, Trend, choruses, sections, trends};
use crate::time::Second;

/// A part of a take.
#[derive(Debug, Clone, PartialEq)]
pub struct PartRow {
    /// Which part.
    pub part: PartName,
    /// Its first and last bar: a solo's from its first start to its last ending. `None` for a section,
    /// which recurs in every chorus.
    pub bars: Option<(i64, i64)>,
    /// Index of its first note in the take.
    pub first_note: Option<usize>,
    /// Its figures.
    pub figures: TakeFigures,
}

/// Which part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PartName {
    /// A solo, from 1.
    Solo(usize),
    /// A chorus, from 1.
    Chorus(i64),
    /// A section in all choruses: its label.
    Section(String),
}

/// All parts of a take.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Parts {
    /// Its solos: at least one if there are phrases.
    pub solos: Vec<PartRow>,
    /// The choruses in which phrases start; none without a form.
    pub choruses: Vec<PartRow>,
    /// The sections of the form.
    pub sections: Vec<PartRow>,
    /// The trends from chorus to chorus.
    pub trends: Vec<Trend>,
}

impl Parts {
    /// The parts of a take, with its form if known. `marks` are in order.
    pub fn of(analysis: &TakeAnalysis, form: Option<&Form>, marks: &[Second]) -> Self {
        let (phrases, alerts) = (analysis.phrases(), &analysis.settings().alerts);
        let row = |part, bars, held: &[Phrase]| PartRow {
            part,
            bars,
            first_note: held.first().map(|phrase| phrase.first_note),
            figures: TakeFigures::of(&figures(held, alerts)),
        };
        let solos = solos(analysis, marks).into_iter().zip(1..);
        let solos = solos.map(|(range, number)| {
            let held = phrases.get(range).unwrap_or_default();
            let bars = held.first().zip(held.last()).map(|(a, b)| (a.entry.bar, b.exit.bar));
            row(PartName::Solo(number), bars, held)
        });
        let solos = solos.collect();
        let Some(form) = form else { return Self { solos, ..Self::default() } };
        let chorus = |slice: Slice| match slice.part {
            Part::Chorus { chorus } => {
                let bars = (form.chorus_start(chorus), form.chorus_start(chorus + 1) - 1);
                Some(row(PartName::Chorus(chorus), Some(bars), &slice.phrases))
            }
            _ => None,
        };
        let in_choruses = choruses(phrases, form, alerts);
        let in_sections = sections(phrases, form, alerts).into_iter().enumerate();
        Self {
            solos,
            choruses: in_choruses.into_iter().filter_map(chorus).collect(),
            sections: in_sections
                .map(|(index, slice)| {
                    row(PartName::Section(form.section_label(index)), None, &slice.phrases)
                })
                .collect(),
            trends: trends(phrases, form),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::Share;
    use crate::take::invented;
    use crate::take::settings::Settings;
    use crate::theory::form::Section;

    const EIGHTHS: [f64; 8] = [0.5; 8];

    #[test]
    fn a_take_of_two_choruses_in_parts() {
        // Choruses of eight bars from bar 3 on, two sections of four; the last phrase comes after
        // twelve bars of rest.
        let lines = [(3, 1.0), (6, 1.5), (8, 1.0), (12, 2.5), (26, 1.0)]
            .map(|(b, at)| (b, at, &EIGHTHS[..]));
        let take = invented::take(120.0, &lines);
        let take = TakeAnalysis::of(take, Settings::default());
        let form = Form::new(8, 3).unwrap();
        let form = form.with_sections(Section::list("A4 B4").unwrap()).unwrap();
        let parts = Parts::of(&take, Some(&form), &[]);
        let summary = |rows: &[PartRow]| {
            rows.iter()
                .map(|row| (row.part.clone(), row.bars, row.figures.off_beat))
                .collect::<Vec<_>>()
        };
        let share = |count, of| Share { count, of };
        assert_eq!(
            summary(&parts.solos),
            [
                (PartName::Solo(1), Some((3, 13)), share(2, 4)),
                (PartName::Solo(2), Some((26, 26)), share(0, 1)),
            ]
        );
        assert_eq!(
            summary(&parts.choruses),
            [
                (PartName::Chorus(1), Some((3, 10)), share(1, 3)),
                (PartName::Chorus(2), Some((11, 18)), share(1, 1)),
                (PartName::Chorus(3), Some((19, 26)), share(0, 1)),
            ]
        );
        assert_eq!(
            summary(&parts.sections),
            [
                (PartName::Section("A".to_owned()), None, share(2, 3)),
                (PartName::Section("B".to_owned()), None, share(0, 2)),
            ]
        );
        assert_eq!(parts.choruses[1].first_note, Some(24));
        let without = Parts::of(&take, None, &[]);
        assert_eq!(without, Parts { solos: parts.solos, ..Parts::default() });
    }
}
