//! The marks above the staff at a bar, and which bars of rest can be drawn as one.

use super::WrittenTake;
use super::bars::WrittenBar;
use super::value::ticks;
use crate::phrase::AnalysisContext;
use crate::theory::changes::{Change, Changes};
use crate::theory::form::Form;
use crate::theory::symbol::Chord;
use crate::time::BeatSpan;

/// The marks above the staff at a bar.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BarMarks {
    /// The tempo in BPM, if it differs from the one before.
    pub tempo: Option<f64>,
    /// The label of the section that starts with the bar.
    pub section: Option<String>,
    /// The chords that start in it, at concert pitch: ticks from the bar line, and `None` for no chord.
    pub chords: Vec<(u32, Option<Chord>)>,
    /// Bars of rest before it are left out, so its number jumps.
    pub jumps: bool,
}

/// A tempo is written again if it has changed by more than this share. Own value: less is normal drift.
const OTHER_TEMPO: f64 = 0.05;

/// A chord this close before a bar line starts with the bar: half a tick of 192 per quarter note.
const CLOSE: BeatSpan = BeatSpan(0.5 / 192.0);

/// The marks of each bar of a take. The first has the chord in effect at its start.
#[must_use]
pub fn marks(
    take: &WrittenTake,
    context: AnalysisContext<'_>,
    form: Option<&Form>,
    changes: Option<&Changes>,
) -> Vec<BarMarks> {
    let mut tempo = None;
    let mut before: Option<&WrittenBar> = None;
    let mut marks = Vec::with_capacity(take.bars.len());
    for bar in &take.bars {
        let start = context.lines.bar(bar.number).start;
        let now = context.tempo.tempo_at(start).map(|tempo| tempo.quarters_a_minute());
        let other =
            |now: &f64| tempo.is_none_or(|then: f64| (now / then - 1.0).abs() > OTHER_TEMPO);
        let changed = now.filter(other);
        tempo = changed.or(tempo);
        marks.push(BarMarks {
            tempo: changed,
            section: form.and_then(|form| section(form, bar.number)),
            chords: changes
                .map_or_else(Vec::new, |changes| chords(bar, changes, context, before.is_none())),
            jumps: before.is_some_and(|before| before.number.saturating_add(1) != bar.number),
        });
        before = Some(bar);
    }
    marks
}

/// The label of a section that starts in a bar.
fn section(form: &Form, number: i64) -> Option<String> {
    let position = |number| form.position(number).map(|at| (at.chorus, at.section));
    let here = position(number)?;
    let starts = Some(here) != position(number.saturating_sub(1));
    starts.then(|| form.section_label(here.1)).filter(|label| !label.is_empty())
}

/// The chords that start in a bar.
fn chords(
    bar: &WrittenBar,
    changes: &Changes,
    context: AnalysisContext<'_>,
    is_first: bool,
) -> Vec<(u32, Option<Chord>)> {
    let start = context.lines.bar(bar.number).start - CLOSE;
    let end = context.lines.bar(bar.number.saturating_add(1)).start - CLOSE;
    let all = changes.all();
    let first = all.partition_point(|change| change.at < start);
    let at = |change: &Change| ticks(change.at - start - CLOSE).min(bar.length.saturating_sub(1));
    let here = all.iter().skip(first).take_while(|change| change.at < end);
    let mut chords: Vec<_> = here.map(|change| (at(change), change.chord)).collect();
    let holding = first.checked_sub(1).and_then(|before| all.get(before)?.chord);
    if is_first && holding.is_some() && chords.first().is_none_or(|(at, _)| *at > 0) {
        chords.insert(0, (0, holding));
    }
    chords
}

/// How many bars of rest, from bar `index` on, can be drawn as one: complete bars of one metre with
/// consecutive numbers, and no marks above the staff except at the start of the first. 0 if that has notes.
#[must_use]
pub fn rests_from(bars: &[WrittenBar], marks: &[BarMarks], index: usize) -> usize {
    let is_rest = |bar: &&WrittenBar| bar.signs.iter().all(|sign| sign.note.is_none());
    let Some(first) = bars.get(index).filter(is_rest) else { return 0 };
    let is_cut = first.length != ticks(first.metre.bar());
    let inside = |marks: &BarMarks| marks.chords.iter().any(|(at, _)| *at > 0);
    if is_cut || marks.get(index).is_some_and(inside) {
        return 1;
    }
    let alike = |bar: &&WrittenBar| (bar.metre, bar.length) == (first.metre, first.length);
    let later = bars.iter().zip(marks).skip(index + 1);
    let plain = |(bar, marks): &(&WrittenBar, &BarMarks)| {
        is_rest(bar) && alike(bar) && **marks == BarMarks::default()
    };
    1 + later.take_while(plain).count()
}

#[cfg(test)]
mod tests {
    use super::super::tests::{notated, take_over};
    use super::super::{MusicXml, musicxml};
    use super::*;
    use crate::theory::form::Section;
    use crate::theory::symbol::parse;
    use crate::time::Beat;
    use crate::time::metre::Metre;
    use crate::time::metre_map::MetreMap;

    /// The result of `rests_from` for each bar of a take from bar 1 with its last note on `last`, and the counts
    /// of multi-bar rests in its MusicXML.
    fn rests(
        metres: MetreMap,
        last: f64,
        form: Option<&Form>,
        changes: Option<&Changes>,
    ) -> (Vec<usize>, Vec<String>) {
        let take = take_over(metres, 120.0, &[(0.0, 1.0, 60), (last, 1.0, 62)]);
        let (notated, context) = (notated(&take), take.context());
        let marks = marks(&notated, context, form, changes);
        let count = |index| rests_from(&notated.bars, &marks, index);
        let counts = (0..notated.bars.len()).map(count).collect();
        let document = MusicXml { title: "rests", take: &notated, context, form, changes };
        let xml = String::from_utf8(musicxml(&document).unwrap()).unwrap();
        let texts = xml.split("<multiple-rest>").skip(1);
        let texts = texts.map(|text| text.split('<').next().unwrap().to_owned());
        (counts, texts.collect())
    }

    fn common() -> MetreMap {
        MetreMap::new(Metre::COMMON)
    }

    #[test]
    fn bars_of_rest_without_marks_are_drawn_as_one() {
        // A single bar of rest stays a single bar.
        assert_eq!(rests(common(), 8.0, None, None), (vec![0, 1, 0], vec![]));
        let (counts, written) = rests(common(), 32.0, None, None);
        assert_eq!(counts, [0, 7, 6, 5, 4, 3, 2, 1, 0]);
        assert_eq!(written, ["7"]);
    }

    #[test]
    fn a_section_a_chord_or_a_metre_splits_bars_of_rest() {
        let section = |name: &str| Section { name: name.to_owned(), bars: 4 };
        let form = Form::new(8, 1).unwrap();
        let with = form.clone().with_sections(vec![section("A"), section("B")]).unwrap();
        assert_eq!(rests(common(), 32.0, Some(&with), None).1, ["3", "4"]);
        // A chorus without sections has no label.
        assert_eq!(rests(common(), 32.0, Some(&form), None).1, ["7"]);
        let chord = |at, text| Change { at: Beat(at), chord: parse(text).unwrap() };
        let changes = Changes::of(vec![chord(-4.0, "Dm7"), chord(12.0, "G7"), chord(26.0, "C")]);
        // Bars 2 and 3, then from the G7 in bar 4 on; the C is in the middle of bar 7.
        let (counts, written) = rests(common(), 32.0, None, Some(&changes));
        assert_eq!((counts[1], counts[3], counts[6]), (2, 3, 1));
        assert_eq!(written, ["2", "3"]);
        let mut metres = common();
        metres.change(Beat(16.0), Metre::new(3, 4).unwrap());
        assert_eq!(rests(metres, 34.0, None, None).1, ["3", "6"]);
    }

    #[test]
    fn a_bar_cut_short_is_drawn_by_itself() {
        let mut metres = common();
        metres.change(Beat(14.0), Metre::COMMON);
        // Bars 2 and 3, half of bar 4, bars 5 to 7.
        assert_eq!(
            rests(metres, 26.0, None, None),
            (vec![0, 2, 1, 1, 3, 2, 1, 0], vec!["2".into(), "3".into()])
        );
    }

    #[test]
    fn omitted_bars_are_announced() {
        let (counts, written) = rests(common(), 4e6, None, None);
        assert_eq!((counts[1], counts.len()), (999, 1_001));
        assert_eq!(written, ["999"]);
        let take = take_over(common(), 120.0, &[(0.0, 1.0, 60), (4e6, 1.0, 62)]);
        let notated = notated(&take);
        let jumps =
            marks(&notated, take.context(), None, None).into_iter().map(|marks| marks.jumps);
        assert_eq!(jumps.filter(|jumps| *jumps).count(), 1);
        let context = take.context();
        let document =
            MusicXml { title: "far", take: &notated, context, form: None, changes: None };
        let xml = String::from_utf8(musicxml(&document).unwrap()).unwrap();
        assert!(xml.contains("<words>Rest up to bar 1000001</words>"));
    }

    #[test]
    fn the_first_bar_has_the_chord_in_effect() {
        let take = take_over(common(), 120.0, &[(4.0, 1.0, 60), (5.0, 1.0, 62)]);
        let chord = |at, text| Change { at: Beat(at), chord: parse(text).unwrap() };
        let changes = Changes::of(vec![chord(0.0, "Dm7"), chord(6.0, "G7")]);
        let marks = marks(&notated(&take), take.context(), None, Some(&changes));
        assert_eq!(marks[0].chords, [(0, parse("Dm7").unwrap()), (384, parse("G7").unwrap())]);
        assert_eq!(marks[0].tempo, Some(120.0));
    }
}
