//! A take as a row of a sheet, ready to be cut anywhere.

use crate::analysis::take_analysis::TakeAnalysis;
use crate::grid::beat_grid::BeatGrid;
use crate::input::note::Note;
use crate::melody::MelodyOnset;
use crate::phrase::{Phrase, played};
use crate::quantization::{BarLines, MetricalPosition, PhraseRole};
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::theory::form::Form;
use crate::time::metre_map::Bar;
use crate::time::{Beat, BeatSpan, Moment, Second};

/// A note up to this far ahead of a cut counts as after it. Origin: positions jitter by about
/// 0.0002 beat in real hosts.
pub const GRAIN: BeatSpan = BeatSpan(0.001);

/// A take to cut from.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// Its name.
    pub name: &'a str,
    /// The take.
    pub analysis: &'a TakeAnalysis,
}

/// A row of a sheet.
#[derive(Debug, Clone)]
pub struct Lane<'a> {
    pub name: &'a str,
    pub take: &'a Performance,
    pub phrases: &'a [Phrase],
    /// Its own grid.
    pub grid: Option<BeatGrid>,
    /// Its bars and positions are approximate.
    pub about: bool,
    /// Off-beat starts before each phrase, and last the total.
    pub off_before: Vec<i64>,
    /// The long lines among the phrases, in order.
    pub long_lines: Vec<LongLine>,
    /// Where nothing sounds, in order.
    pub quiet: Vec<(Beat, Beat)>,
    onsets: &'a [MelodyOnset],
    settings: &'a Settings,
    form: Form,
}

/// A phrase long enough to count as a long line.
#[derive(Debug, Clone, Copy)]
pub struct LongLine {
    pub phrase: usize,
    /// The chorus it starts in; `None` before the first.
    pub chorus: Option<i64>,
    /// Where it becomes long.
    pub long_at: Beat,
}

/// The phrase or part of a phrase after a cut.
#[derive(Debug, Clone, Copy)]
pub struct CutStart {
    /// The first attack.
    pub at: Beat,
    /// It starts off the beat.
    pub off: bool,
    pub chorus: Option<i64>,
    /// Where it becomes a long line.
    pub long_at: Option<Beat>,
    /// Index of the phrase after it.
    pub next: usize,
}

impl<'a> Lane<'a> {
    /// `None` without a beat grid or without notes.
    pub fn of(source: &Source<'a>, form: &Form) -> Option<Self> {
        let analysis = source.analysis;
        let (take, phrases) = (analysis.take(), analysis.phrases());
        if phrases.is_empty() || !take.metres.is_sound() {
            return None;
        }
        let mut lane = Self {
            name: source.name,
            take,
            grid: take.own_grid.as_deref().map(|own| BeatGrid::of(&own.anchors)),
            about: take.approximate().is_anywhere(),
            off_before: vec![0],
            long_lines: Vec::new(),
            onsets: analysis.context().line,
            quiet: quiet(take.soloist.notes(), phrases),
            phrases,
            settings: analysis.settings(),
            form: form.clone(),
        };
        for (index, phrase) in phrases.iter().enumerate() {
            let before = lane.off_before.last().copied().unwrap_or(0);
            lane.off_before.push(before + i64::from(phrase.enters_off_beat()));
            let long_at = lane.long_at(phrase.first_note, phrase.last_note);
            lane.long_lines.extend(long_at.map(|long_at| LongLine {
                phrase: index,
                chorus: form.position(phrase.entry.bar).map(|position| position.chorus),
                long_at,
            }));
        }
        Some(lane)
    }

    /// The last bar in which a note begins.
    pub fn last_bar(&self) -> i64 {
        self.phrases.last().map_or(0, |phrase| phrase.exit.bar)
    }

    pub fn notes(&self) -> &'a [Note] {
        self.take.soloist.notes()
    }

    /// Where the first note of phrase `index` begins.
    pub fn start(&self, index: usize) -> Option<Beat> {
        let first = self.phrases.get(index)?.first_note;
        self.notes().get(first).map(|note| note.on.beat)
    }

    /// The host's bar line before `bar`.
    pub fn host_line(&self, bar: i64) -> Beat {
        self.take.metres.bar(bar).start
    }

    /// The bar line before `bar`, as the player counts.
    pub fn line(&self, bar: i64) -> Beat {
        let host = self.host_line(bar);
        let written = self.take.metres.metre_at(host + GRAIN).written_beat();
        host + BeatSpan(written.0 * f64::from(self.settings.beat_one_offset))
    }

    /// The host's bar that begins at the line before `bar`.
    pub fn bar(&self, bar: i64) -> Bar {
        self.take.metres.bar_at(self.host_line(bar) + GRAIN)
    }

    /// Whether the take was recording or sounding in these bars.
    pub fn covers(&self, first_bar: i64, end_bar: i64) -> bool {
        let (from, to) = (self.line(first_bar), self.line(end_bar));
        let sounds_from = self.start(0).unwrap_or(to);
        let began = self.take.tempo.knots().first().map_or(sounds_from, |knot| knot.beat);
        let began = began.earlier(sounds_from);
        let ended = self.quiet.last().map_or(to, |(end, _)| *end);
        began <= from + GRAIN && ended > from + GRAIN
    }

    /// When the take was at `beat`.
    pub fn second_at(&self, beat: Beat) -> Second {
        self.take.tempo.second_at(beat).unwrap_or(Second(0.0))
    }

    pub fn moment_at(&self, beat: Beat) -> Moment {
        Moment { beat, second: self.second_at(beat) }
    }

    /// Index of the first note that begins at or after `cut`.
    pub fn note_from(&self, cut: Beat) -> usize {
        self.notes().partition_point(|note| note.on.beat < cut - GRAIN)
    }

    /// Index of the first phrase that begins at or after `cut`.
    pub fn phrase_from(&self, cut: Beat) -> usize {
        let note = self.note_from(cut);
        self.phrases.partition_point(|phrase| phrase.first_note < note)
    }

    /// The start of the take after `cut`; `None` without a note.
    pub fn head(&self, cut: Beat) -> Option<CutStart> {
        let note = self.note_from(cut);
        let at = self.notes().get(note)?.on.beat;
        let next = self.phrase_from(cut);
        let (entry, last, next) = match self.phrases.get(next) {
            Some(phrase) if phrase.first_note == note => (phrase.entry, phrase.last_note, next + 1),
            _ => {
                let last = self.phrases.get(next.checked_sub(1)?)?.last_note;
                (self.quantize_single(note)?, last, next)
            }
        };
        Some(CutStart {
            at,
            off: entry.class.is_off_beat(),
            chorus: self.form.position(entry.bar).map(|position| position.chorus),
            long_at: self.long_at(note, last),
            next,
        })
    }

    /// The position of a phrase start at this note, quantized by itself: the finished comp is analysed anyway.
    fn quantize_single(&self, first: usize) -> Option<MetricalPosition> {
        let (tempo, settings) = (&self.take.tempo, self.settings);
        let beat = played(tempo, self.notes().get(first)?.on, settings.latency)?;
        let lines = BarLines::new(&self.take.metres, settings);
        Some(lines.quantize_single(beat, tempo.tempo_at(beat)?, PhraseRole::Start, settings.feel))
    }

    /// Where a phrase of these notes becomes long.
    fn long_at(&self, first: usize, last: usize) -> Option<Beat> {
        let notes = self.notes();
        let onsets = self.onsets;
        let from = onsets.partition_point(|onset| onset.note < first);
        let to = onsets.partition_point(|onset| onset.first <= last);
        let onsets = onsets.get(from..to)?;
        let start = onsets.first()?.on(notes)?.beat;
        let long = self.settings.alerts.long_line_bars;
        let bars = |beat: Beat| self.take.metres.bars_to(beat);
        let from = bars(start);
        let ends = onsets.iter().filter_map(|onset| onset.off(notes).or(onset.on(notes)));
        let ends = ends.map(|end| end.beat);
        // Tolerates rounding of summed beats.
        ends.filter(|end| bars(*end) - from >= long - 1e-9).reduce(Beat::earlier)
    }
}

/// The rests between phrases, and the time before the first and after the last.
fn quiet(notes: &[Note], phrases: &[Phrase]) -> Vec<(Beat, Beat)> {
    let mut quiet = Vec::with_capacity(phrases.len() + 1);
    let mut ended = Beat(f64::NEG_INFINITY);
    for phrase in phrases {
        let sounding = notes.get(phrase.first_note..=phrase.last_note).unwrap_or_default();
        if let Some(first) = sounding.first()
            && first.on.beat > ended
        {
            quiet.push((ended, first.on.beat));
        }
        let ends = sounding.iter().map(|note| note.off.map_or(note.on.beat, |off| off.beat));
        ended = ends.fold(ended, Beat::later);
    }
    quiet.push((ended, Beat(f64::INFINITY)));
    quiet
}
