//! The beat grid of a take: notes, beats and anchors in seconds, and how reliable it is.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::grid::anchors::{Anchor, AnchorSource};
use overbar_core::quantization::MetricalPosition;
use overbar_core::take::grid_summary::GridSummary;
use overbar_core::take::performance::Performance;
use overbar_core::time::{Beat, BeatSpan, Second};

/// At most this many bars are shown: an hour at 300 BPM in 4/4 is 4,500.
const MAX_BARS: usize = 20_000;

/// The grid.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TakeGrid {
    /// The source of its beats; `None` for the host.
    pub source: Option<AnchorSource>,
    /// The source of its beats and how reliable they are, without full stops.
    pub lines: Vec<String>,
    /// Bars and positions are approximate.
    pub about: bool,
    /// Whether the host's grid can be restored.
    pub can_return: bool,
    /// The soloist's notes, in order.
    pub notes: Vec<GridNote>,
    /// The beats under them, in order.
    pub beats: Vec<GridBeat>,
    /// Moments whose beat was tapped or set by hand, in order; none on the host's grid.
    pub anchors: Vec<Anchor>,
    /// Stretches too far from any anchor, or whose count is in doubt, in order.
    pub bridges: Vec<GridBridge>,
    /// From the first attack to the last.
    pub span: (Second, Second),
}

/// A note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridNote {
    /// When it was played, minus the input latency.
    pub at: Second,
    /// When it ended.
    pub end: Second,
    /// Its key, from 0 to 127.
    pub key: u8,
    /// The position of its onset, or of the one before.
    pub position: Option<MetricalPosition>,
}

/// A felt beat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridBeat {
    /// When it is.
    pub at: Second,
    /// Its bar.
    pub bar: i64,
    /// Which beat of it, from 1.
    pub beat: u8,
}

/// A stretch of the grid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridBridge {
    /// From this moment.
    pub from: Second,
    /// To this one.
    pub to: Second,
    /// It is too long to be sure of its beats.
    pub bridged: bool,
    /// The number of its beats is in doubt.
    pub count_in_doubt: bool,
}

impl TakeGrid {
    /// Of a take.
    pub fn of(analysis: &TakeAnalysis) -> Self {
        let take = analysis.take();
        let reviewed = GridSummary::of(take);
        let own = take.own_grid.as_deref();
        let from_host = || vec!["beat grid: from the host".to_owned()];
        let second = |beat: Beat| take.tempo.second_at(beat);
        let bridges = take.certainty().map_or_else(Vec::new, |certainty| certainty.bridges);
        let bridges = bridges.iter().filter_map(|bridge| {
            Some(GridBridge {
                from: second(bridge.from)?,
                to: second(bridge.to)?,
                bridged: bridge.bridged,
                count_in_doubt: bridge.count_in_doubt,
            })
        });
        Self {
            source: reviewed.as_ref().map(|grid| grid.source),
            about: reviewed.as_ref().is_some_and(|grid| grid.about),
            lines: reviewed.as_ref().map_or_else(from_host, GridSummary::lines),
            can_return: own.is_some_and(|own| !own.host_tempo.knots().is_empty()),
            notes: notes(analysis),
            beats: beats(analysis, take),
            anchors: own.map_or_else(Vec::new, |own| own.anchors.all().to_vec()),
            bridges: bridges.collect(),
            span: take.span().unwrap_or_default(),
        }
    }

    /// The source of its beats, in a few words; `None` for the host.
    pub fn from(&self) -> Option<&'static str> {
        Some(match (self.source?, self.about) {
            (AnchorSource::Tap, false) => "beats from taps",
            (AnchorSource::Tap, true) => "beats from taps, approximate",
            (AnchorSource::Band, false) => "beats from the band",
            (AnchorSource::Band, true) => "beats from the band, approximate",
            (AnchorSource::Hand, false) => "beats set by hand",
            (AnchorSource::Hand, true) => "beats set by hand, approximate",
        })
    }

    /// The beat at or before a moment.
    pub fn beat_before(&self, at: Second) -> Option<&GridBeat> {
        let after = self.beats.partition_point(|beat| beat.at.0 <= at.0 + 1e-6);
        self.beats.get(after.checked_sub(1)?)
    }

    /// The number of bars between two moments, rounded.
    pub fn bars_between(&self, one: Second, other: Second) -> usize {
        let bars = |at: Second| {
            let before = self.beats.partition_point(|beat| beat.at.0 <= at.0);
            let lines = self.beats.iter().take(before).filter(|beat| beat.beat == 1).count();
            let since = self.beats.get(before.saturating_sub(1)).map_or(1, |beat| beat.beat);
            lines as f64 + f64::from(since - 1) / 8.0
        };
        (bars(other) - bars(one)).abs().round() as usize
    }
}

fn notes(analysis: &TakeAnalysis) -> Vec<GridNote> {
    let context = analysis.context();
    let mut onsets = context.line.iter().enumerate().peekable();
    let mut position = None;
    let mut found = Vec::with_capacity(context.notes.len());
    for (index, note) in context.notes.iter().enumerate() {
        while let Some((onset, _)) = onsets.next_if(|(_, onset)| onset.first <= index) {
            position = context.position(onset);
        }
        let at = note.on.second - context.latency;
        let end = note.off.map_or(at, |off| off.second - context.latency);
        found.push(GridNote { at, end: end.later(at), key: note.key, position });
    }
    found
}

fn beats(analysis: &TakeAnalysis, take: &Performance) -> Vec<GridBeat> {
    let lines = analysis.context().lines;
    let Some((from, to)) = take.span() else { return Vec::new() };
    let at = |second| take.tempo.beat_at(second);
    let Some((from, to)) = at(from).zip(at(to)) else { return Vec::new() };
    let mut beats = Vec::new();
    let mut bar = lines.bar_at(from);
    for _ in 0..MAX_BARS {
        let (pulse, _) = lines.pulse_of(bar.metre);
        let next = lines.bar(bar.number + 1);
        for number in 1..=lines.pulses_in(bar.metre) {
            let beat = bar.start + BeatSpan(pulse.0 * f64::from(number - 1));
            // A bar that was cut short has fewer beats.
            if number > 1 && beat.0 > next.start.0 - pulse.0 / 2.0 {
                break;
            }
            let at = take.tempo.second_at(beat);
            beats.extend(at.map(|at| GridBeat { at, bar: bar.number, beat: number }));
        }
        if next.start <= bar.start || bar.start > to {
            break;
        }
        bar = next;
    }
    beats
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_core::input::event::{Event, NoteOff, NoteOn};
    use overbar_core::session::Session;
    use overbar_core::take::grid_edit::GridEdit;
    use overbar_core::take::settings::Settings;
    use overbar_core::time::transport::TransportPoint;

    fn played() -> Performance {
        let mut session = Session::default();
        session.push(Event::Transport(TransportPoint {
            beat: Some(0.0),
            tempo: Some(120.0),
            metre: Some((4, 4)),
            rolling: true,
            ..TransportPoint::default()
        }));
        for note in 0..24_u8 {
            let (at, key, channel) = (0.25 * f64::from(note) + 1.0, Some(60 + note), Some(0));
            let on = NoteOn { at: Second(at), beat: None, key, channel, velocity: 0.7 };
            session.push(Event::On(on));
            session.push(Event::Off(NoteOff { at: Second(at + 0.2), beat: None, key, channel }));
        }
        session.finish();
        Performance::clone(&session.takes()[0].performance)
    }

    #[test]
    fn beats_and_anchors_have_their_times_and_sources() {
        let mut take = played();
        let grid =
            |take: &Performance| TakeGrid::of(&TakeAnalysis::of(take.clone(), Settings::default()));
        let host = grid(&take);
        assert_eq!((host.source, host.from(), host.can_return), (None, None, false));
        assert_eq!(host.lines, ["beat grid: from the host"]);
        assert_eq!((host.notes.len(), host.anchors.len()), (24, 0));
        let first = host.beats[0];
        assert_eq!((first.at, first.bar, first.beat), (Second(0.0), 1, 1));
        assert_eq!(host.beat_before(Second(2.6)).map(|beat| (beat.bar, beat.beat)), Some((2, 2)));
        assert_eq!(host.bars_between(Second(1.0), Second(5.0)), 2);
        let later = GridEdit::BeatOneLater { at: Second(1.0), beats: 1 };
        let anchors = take.edited_grid(later).unwrap();
        take.set_grid(anchors.as_ref());
        let own = grid(&take);
        assert_eq!((own.source, own.can_return), (Some(AnchorSource::Hand), true));
        assert_eq!(own.from(), Some("beats set by hand"));
        assert!(own.anchors.len() > 3 && own.bridges.is_empty());
        let one = own.beats.iter().find(|beat| beat.beat == 1 && beat.at > Second(0.0)).unwrap();
        assert!((one.at.0 - 0.5).abs() < 1e-6, "{one:?}");
    }
}
