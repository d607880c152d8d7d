//! The details of one phrase: its notes with their positions. Computed on request.

use crate::melody::NoteRole;
use crate::microtiming::{self, TimeFeel, onsets};
use crate::phrase::{AnalysisContext, Phrase};
use crate::quantization::{BarLines, MetricalPosition};
use crate::take::performance::Performance;
use crate::time::{Beat, BeatSpan, Second, SecondSpan};

/// Most bar lines; the rest of a longer phrase is drawn without them.
const MAX_BARS: usize = 256;

/// One note of a phrase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DetailNote {
    /// Its index in the take.
    pub note: usize,
    /// Its key, from 0 to 127.
    pub key: u8,
    /// The time that identifies its onset in a correction: that of an existing correction, else when it
    /// was played.
    pub at: Second,
    /// Where it was played.
    pub beat: Beat,
    /// How long it sounded; `None` while it does.
    pub length: Option<BeatSpan>,
    /// Its role.
    pub role: NoteRole,
    /// The position of its onset, or of the one before; the first note has the phrase start's.
    pub position: MetricalPosition,
    /// How late its onset is for its pulse; `None` if it is on none.
    pub late: Option<SecondSpan>,
    /// A phrase could start here: it opens an onset that is not the take's first.
    pub can_begin: bool,
    /// The correction of its onset.
    pub by_hand: Option<bool>,
}

/// A bar line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarLine {
    /// Number of the bar that starts there.
    pub number: i64,
    /// Its position.
    pub beat: Beat,
    /// Length of a pulse in that bar.
    pub pulse: BeatSpan,
}

/// The details of a phrase.
#[derive(Debug, Clone, PartialEq)]
pub struct PhraseDetail {
    /// Its index in its take, from 0.
    pub index: usize,
    /// The phrase.
    pub phrase: Phrase,
    /// Its notes, in order of onset.
    pub notes: Vec<DetailNote>,
    /// The bar lines it touches, in order.
    pub bars: Vec<BarLine>,
    /// Its time feel.
    pub feel: TimeFeel,
}

impl PhraseDetail {
    /// The details of `phrase`, number `index` of `performance` from 0.
    pub fn of(
        performance: &Performance,
        phrase: &Phrase,
        index: usize,
        context: AnalysisContext<'_>,
    ) -> Self {
        Self {
            index,
            phrase: *phrase,
            notes: notes(performance, phrase, context),
            bars: bars(phrase, context.lines),
            feel: microtiming::of_phrase(phrase, context),
        }
    }

    /// The note with this index in the take, if it is in this phrase.
    pub fn note(&self, note: usize) -> Option<&DetailNote> {
        self.notes.get(note.checked_sub(self.phrase.first_note)?)
    }

    /// The onset it begins with.
    pub fn first(&self) -> Option<&DetailNote> {
        self.notes.first()
    }
}

fn notes(
    performance: &Performance,
    phrase: &Phrase,
    context: AnalysisContext<'_>,
) -> Vec<DetailNote> {
    let indices = context.onsets(phrase);
    let take_begins = indices.start == 0;
    let timed = onsets::onsets(phrase, context);
    let mut onsets = indices.filter_map(|index| context.line.get(index)).zip(timed).peekable();
    let span = phrase.first_note..=phrase.last_note;
    let notes = context.notes.get(span.clone()).unwrap_or_default();
    let roles = context.roles.get(span).unwrap_or_default();
    let mut found: Vec<DetailNote> = Vec::with_capacity(notes.len());
    let mut now = None;
    for (number, (note, role)) in (phrase.first_note..).zip(notes.iter().zip(roles)) {
        let opens = onsets.next_if(|(onset, _)| onset.first == number);
        now = opens.or(now);
        let Some((_, onset)) = &now else { continue };
        let correction =
            opens.and_then(|(onset, _)| onset.correction(&performance.corrections, context.notes));
        found.push(DetailNote {
            note: number,
            key: note.key,
            at: correction.map_or(note.on.second, |correction| correction.at),
            beat: note.on.beat,
            length: note.off.map(|off| off.beat - note.on.beat),
            role: *role,
            position: onset.position,
            late: onset.position.lag(onset.tempo),
            can_begin: opens.is_some() && !(take_begins && found.is_empty()),
            by_hand: correction.map(|correction| correction.begins),
        });
    }
    found
}

fn bars(phrase: &Phrase, lines: BarLines<'_>) -> Vec<BarLine> {
    let end = phrase.entry.beat + phrase.beats;
    let mut bars = Vec::new();
    let mut bar = lines.bar_at(phrase.entry.beat.earlier(phrase.entry.bar_start));
    while bars.len() < MAX_BARS {
        let (pulse, _) = lines.pulse_of(bar.metre);
        bars.push(BarLine { number: bar.number, beat: bar.start, pulse });
        // Half a pulse into the next bar, to be safe from rounding.
        let next = lines.bar_at(bar.start + bar.metre.bar() + BeatSpan(pulse.0 / 2.0));
        if next.start <= bar.start || next.start > end {
            break;
        }
        bar = next;
    }
    bars
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::event::{Event, NoteOff, NoteOn};
    use crate::quantization::PositionClass;
    use crate::session::Session;
    use crate::time::transport::TransportPoint;

    /// In 4/4 at 120 BPM: eighths from beat 3.5 to 9 over a chord on 4, and another phrase from 14.
    fn heard() -> Session {
        let mut session = Session::default();
        session.push(Event::Transport(TransportPoint {
            beat: Some(0.0),
            tempo: Some(120.0),
            metre: Some((4, 4)),
            rolling: true,
            ..TransportPoint::default()
        }));
        let mut play = |beat: f64, keys: &[u8]| {
            for key in keys {
                let (key, channel, beat_given) = (Some(*key), Some(0), None);
                let at = Second(beat / 2.0);
                let on = NoteOn { at, beat: beat_given, key, channel, velocity: 0.7 };
                session.push(Event::On(on));
            }
            for key in keys {
                let at = Second(beat / 2.0 + 0.2);
                let (key, channel) = (Some(*key), Some(0));
                session.push(Event::Off(NoteOff { at, beat: None, key, channel }));
            }
        };
        play(3.5, &[60]);
        play(4.02, &[60, 64]);
        for eighth in 0..9 {
            play(4.5 + f64::from(eighth) * 0.5, &[62]);
        }
        for eighth in 0..4 {
            play(14.0 + f64::from(eighth) * 0.5, &[65]);
        }
        session
    }

    #[test]
    fn notes_have_positions_and_bars_have_bar_lines() {
        let mut session = heard();
        session.choose(Some(2));
        let detail = session.snapshot().chosen.unwrap();
        assert_eq!((detail.index, detail.phrase.first_note), (0, 0));
        assert_eq!(detail.notes.len(), 12);
        let [first, low, high, ..] = detail.notes[..] else { panic!("too few") };
        assert_eq!(first.position, detail.phrase.entry);
        assert!(!first.can_begin, "the take's first onset always begins a phrase");
        assert!(low.can_begin && !high.can_begin, "struck together");
        assert_eq!((low.position.class, low.position), (PositionClass::One, high.position));
        assert!((low.late.unwrap().0 - 0.01).abs() < 1e-9, "{:?}", low.late);
        assert_eq!(first.late, None);
        let lines: Vec<(i64, f64)> = detail.bars.iter().map(|b| (b.number, b.beat.0)).collect();
        assert_eq!(lines, [(1, 0.0), (2, 4.0), (3, 8.0)]);
        assert_eq!(detail.feel.lag.on_beat_ms.count(), 5);
    }

    #[test]
    fn corrections_change_a_phrases_details() {
        let mut session = heard();
        session.choose(Some(13));
        let second = session.snapshot().chosen.unwrap();
        assert_eq!((second.index, second.notes.len()), (1, 4));
        session.correct(1, second.notes[0].at, Some(false));
        let joined = session.snapshot().chosen.unwrap();
        assert_eq!((joined.index, joined.notes.len()), (0, 16));
        assert_eq!(joined.note(12).unwrap().by_hand, Some(false));
        session.correct(1, joined.notes[13].at, Some(true));
        let split = session.snapshot().chosen.unwrap();
        assert_eq!((split.index, split.notes.len()), (1, 3));
        session.choose(None);
        assert_eq!(session.snapshot().chosen, None);
    }
}
