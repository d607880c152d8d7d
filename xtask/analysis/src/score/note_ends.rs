//! Changes note ends, to measure how much the analysis depends on them.

use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::input::note::Note;
use overbar_core::take::performance::Performance;
use overbar_core::time::{Moment, Second, SecondSpan};

/// A change of note ends.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum NoteEnds {
    /// None.
    #[default]
    AsPlayed,
    /// Every note has the same length, as mallets and pads send them.
    Gate {
        /// The length, in milliseconds.
        milliseconds: f64,
    },
    /// Rests shorter than this are filled, as if by a player or synthesizer that holds notes.
    Legato {
        /// In seconds.
        seconds: f64,
    },
}

impl NoteEnds {
    /// The events of a file whose notes were analysed as `take`, with changed note ends. Onsets stay.
    pub fn change(self, events: Vec<Event>, take: &Performance) -> Vec<Event> {
        if self == Self::AsPlayed {
            return events;
        }
        let mut changed: Vec<Event> =
            events.into_iter().filter(|event| matches!(event, Event::Transport(_))).collect();
        let notes = take.soloist.notes();
        for (index, note) in notes.iter().enumerate() {
            let (key, channel) = (Some(note.key), Some(note.channel));
            let (at, beat, velocity) = (note.on.second, Some(note.on.beat), note.velocity);
            changed.push(Event::On(NoteOn { at, beat, key, channel, velocity }));
            let later = notes.get(index + 1..).unwrap_or_default();
            if let Some(end) = self.end(note, later, take) {
                let (at, beat) = (end.second, Some(end.beat));
                changed.push(Event::Off(NoteOff { at, beat, key, channel }));
            }
        }
        // At equal times the transport comes first, and ends before attacks.
        let rank = |event: &Event| match event {
            Event::Transport(_) | Event::Tap(_) | Event::Renamed(_) | Event::SoloistEntered(_) => 0,
            Event::Off(_) => 1,
            Event::On(_) => 2,
        };
        changed.sort_by(|a, b| a.at().0.total_cmp(&b.at().0).then(rank(a).cmp(&rank(b))));
        changed
    }

    fn end(self, note: &Note, later: &[Note], take: &Performance) -> Option<Moment> {
        match self {
            Self::AsPlayed => note.off,
            Self::Gate { milliseconds } => {
                let second = Second(note.on.second.0 + milliseconds / 1000.0);
                let end = Moment { second, beat: take.tempo.beat_at(second)? };
                // If the key is struck again before that, its end is the later note's.
                let again = later.iter().find(|n| (n.key, n.channel) == (note.key, note.channel));
                Some(again.map(|n| n.on).filter(|on| on.second < second).unwrap_or(end))
            }
            Self::Legato { seconds } => {
                let off = note.off?;
                // Notes struck together have the same next onset.
                let next = later.iter().find(|n| n.on.second > note.on.second).map(|n| n.on);
                let short = |next: &Moment| {
                    let rest: SecondSpan = next.second - off.second;
                    rest.0 > 0.0 && rest.0 < seconds
                };
                Some(next.filter(short).unwrap_or(off))
            }
        }
    }
}
