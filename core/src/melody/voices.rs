//! Separates the line from the accompaniment under it.
//!
//! Until two notes sound together for longer than fingers overlap, every note is in the line. Then there
//! are two voices, and a cluster goes to the likelier one: by the keys, channels and cluster sizes that
//! each has played lately, by its distance from the line's last note, and by whether that note still
//! sounds above it. A low phrase stays in the line because it moves by small steps, one note at a time;
//! chords while the line rests stay under it.

use super::channels::Channels;
use super::onset_cluster::OnsetCluster;
use super::registers::{Expected, Register, Struck};
use crate::input::note::Note;
use crate::take::settings::Melody;

/// Notes that sound together this long are not legato, in seconds. Origin: overlaps in legato on
/// keyboards are mostly below 100 ms (Repp 1995, from memory).
const TOGETHER: f64 = 0.1;

/// A chord spans at least this, in semitones.
const CHORD_SPAN: u8 = 3;

/// A lone note this far under a sounding one is no step of the line, in semitones. Origin: seven
/// in eight steps of a melody are smaller; common practice, no source.
const UNDER: u8 = 5;

/// Notes struck together this far apart certainly belong to two voices, in semitones: an octave.
const SURELY: u8 = 12;

/// Signs of two voices that are needed, the most that are remembered, and how many lone clusters reset
/// them: about eight bars of eighths. Origin: common practice, no source.
const SIGNS_NEEDED: u8 = 2;
const MAX_SIGNS: u8 = 8;
const LONE_STRIKES: u8 = 64;

/// A note without an end covers lower notes no longer than this, in seconds: two bars of 4/4 at 120 BPM.
/// Origin: common practice, no source.
const LONGEST_COVER: f64 = 4.0;

/// The line continues near its last note within this, in seconds.
const CONTINUES: f64 = 1.5;

/// Mean step of the line, in semitones. Origin: common practice, no source.
const STEP: f64 = 3.0;

/// Log odds of the evidence: the line's last note sounds above a cluster; a higher note is struck soon;
/// the notes of the cluster end together, or not; both voices were struck together; the line's last note
/// ends there; and by how much the lower voice must be likelier than the line. Origin: fitted by hand on
/// invented takes of two hands and of six strings.
const COVERED: f64 = 2.0;
const COVERED_SOON: f64 = 3.0;
const RELEASED_TOGETHER: f64 = 1.5;
const BOTH_HANDS: f64 = 2.5;
const HANDED_OVER: f64 = 0.7;
const LIKELIER: f64 = 1.0;

/// How far ahead a higher note is looked for, in seconds and in notes.
const SOON: f64 = 0.25;
const AHEAD: usize = 16;

/// Clusters needed before the lower voice's keys are known well enough to judge lone notes.
const LOWER_KNOWN: usize = 2;

/// Origin of both: common practice, no source. A left hand plays chords around E3, a line mostly single
/// notes around B♭4.
const LOWER: Expected =
    Expected { key: 52.0, weight: 1.0, spread: (3.0, 6.0), sizes: [0.3, 0.2, 0.5] };
const LINE: Expected =
    Expected { key: 70.0, weight: 1.0, spread: (4.0, 9.0), sizes: [0.8, 0.1, 0.1] };

/// The two voices of a take.
#[derive(Debug, Clone)]
pub(super) struct Voices {
    line: Register,
    lower: Register,
    channels: Channels,
    /// Clusters that certainly belonged to the line and to the lower voice.
    surely: (Register, Register),
    /// The line's last note.
    last: Option<usize>,
    /// A note of the line under which another was struck, and when, until it ends.
    covering: Option<(usize, f64)>,
    /// Signs of two voices, and the lone clusters since the last.
    signs: u8,
    lone: u8,
}

impl Default for Voices {
    fn default() -> Self {
        Self {
            line: Register::new(LINE),
            lower: Register::new(LOWER),
            surely: (Register::new(LINE), Register::new(LOWER)),
            channels: Channels::default(),
            last: None,
            covering: None,
            signs: 0,
            lone: 0,
        }
    }
}

impl Voices {
    /// The voices to start the take with, given what is known by now: two with their certain registers, or
    /// one.
    pub fn at_first(&self) -> Self {
        let (line, lower) = self.surely;
        let signs = self.signs;
        if signs < SIGNS_NEEDED {
            Self::default()
        } else {
            Self { line, lower, signs, ..Self::default() }
        }
    }

    /// Assigns the next cluster to a voice. Returns whether it is in the line.
    pub fn assign(&mut self, notes: &[Note], cluster: &OnsetCluster, melody: Melody) -> bool {
        for note in cluster.first..cluster.next {
            self.channels.add(notes, note);
        }
        let Some(top) = notes.get(cluster.top) else { return false };
        let struck = Struck { key: top.key, size: cluster.size, channel: top.channel };
        let above = Struck { size: cluster.upper_size, ..struck };
        let at = top.on.second.0;
        let held = self.last.filter(|last| self.is_held(notes, *last, at));
        let near = Near {
            at,
            is_chord: cluster.size > 1 && cluster.span >= CHORD_SPAN,
            under: apart(notes, held, Some(cluster.top)),
            over: apart(notes, Some(cluster.top), held),
            under_soon: is_under_soon(notes, cluster),
            ends_together: cluster.ends_together,
        };
        self.count_signs(notes, cluster, near);
        if near.over >= UNDER
            && let Some(lower) = held.and_then(|held| notes.get(held))
        {
            // It was assigned to the line, but lies under it.
            let lower = Struck { key: lower.key, size: 1, channel: lower.channel };
            self.lower.add(lower);
            self.surely.1.add(lower);
            self.surely.0.add(above);
        }
        if near.under >= UNDER && self.covering.is_none() {
            self.covering = held.map(|held| (held, at));
            self.surely.1.add(struck);
        }
        let two_voices = match melody {
            Melody::Auto => self.signs >= SIGNS_NEEDED,
            Melody::Top => true,
            Melody::All => false,
        };
        let is_under = two_voices
            && if self.lower.remembered() >= LOWER_KNOWN || near.is_chord {
                self.lower_log_odds(notes, struck, above, near) > LIKELIER
            } else {
                near.under >= UNDER || near.under_soon
            };
        if is_under {
            self.lower.add(struck);
        } else {
            self.line.add(above);
            self.last = Some(cluster.top);
            if let Some(lower) = cluster.lower_hand.and_then(|lower| notes.get(lower)) {
                let size = cluster.size.saturating_sub(1);
                let lower = Struck { key: lower.key, size, channel: lower.channel };
                self.lower.add(lower);
                if top.key.saturating_sub(lower.key) >= SURELY {
                    self.surely.1.add(lower);
                    self.surely.0.add(above);
                }
            }
        }
        !is_under
    }

    /// Signs of two voices are a chord, a note held under the line, and a note that ended long after another
    /// was struck under it.
    fn count_signs(&mut self, notes: &[Note], cluster: &OnsetCluster, near: Near) {
        let mut signs = u8::from(near.over >= UNDER);
        if near.is_chord {
            signs += cluster.size - 1;
        }
        if let Some((above, since)) = self.covering {
            let off = notes.get(above).and_then(|n| n.off).map(|off| off.second.0);
            let ended = off.filter(|off| *off < near.at);
            signs += u8::from(ended.is_some_and(|off| off - since > TOGETHER));
            if ended.is_some() || near.at - since > LONGEST_COVER {
                self.covering = None;
            }
        }
        self.signs = self.signs.saturating_add(signs).min(MAX_SIGNS);
        self.lone = if signs > 0 { 0 } else { self.lone.saturating_add(1) };
        if self.lone > LONE_STRIKES {
            self.signs = 0;
        }
    }

    /// Whether the line's note `last` sounds on for some time after `second`.
    fn is_held(&self, notes: &[Note], last: usize, second: f64) -> bool {
        notes.get(last).is_some_and(|last| {
            sounds_on(last, second) && second - last.on.second.0 < LONGEST_COVER
        }) && !self.channels.is_struck_again(notes, last)
    }

    /// Log odds that a cluster belongs to the lower voice.
    fn lower_log_odds(&self, notes: &[Note], struck: Struck, above: Struck, near: Near) -> f64 {
        let mut line = self.line.key_likelihood(struck.key);
        if let Some(last) = self.last.and_then(|last| notes.get(last)) {
            if near.at - last.on.second.0 < CONTINUES {
                let leap = f64::from(last.key.abs_diff(struck.key));
                line = line.max(-leap / STEP - (2.0 * STEP).ln());
            }
            let hands_over = last.off.is_some_and(|off| (off.second.0 - near.at).abs() < TOGETHER);
            line += if hands_over { HANDED_OVER } else { 0.0 };
        }
        if above.size < struck.size {
            line -= BOTH_HANDS;
        }
        let ends = match near.ends_together {
            Some(true) => RELEASED_TOGETHER,
            Some(false) => -RELEASED_TOGETHER,
            None => 0.0,
        };
        let lower = ends
            + self.lower.key_likelihood(struck.key)
            + if near.under > 0 { COVERED } else { 0.0 }
            + if near.under_soon { COVERED_SOON } else { 0.0 };
        lower + self.lower.texture_likelihood(struck) - line - self.line.texture_likelihood(above)
    }
}

/// The surroundings of a cluster.
#[derive(Debug, Clone, Copy)]
struct Near {
    /// When it is struck, in seconds.
    at: f64,
    is_chord: bool,
    /// How far it lies below the line's last note, and above it, in semitones, while that note sounds.
    under: u8,
    over: u8,
    /// A higher note is struck soon after while this one sounds on.
    under_soon: bool,
    /// Its highest note ends with the others.
    ends_together: Option<bool>,
}

/// How far note `upper` lies over note `lower`, in semitones.
fn apart(notes: &[Note], upper: Option<usize>, lower: Option<usize>) -> u8 {
    let key = |note: Option<usize>| Some(notes.get(note?)?.key);
    key(upper).zip(key(lower)).map_or(0, |(upper, lower)| upper.saturating_sub(lower))
}

/// Whether a note sounds on for some time after `second`.
fn sounds_on(note: &Note, second: f64) -> bool {
    note.off.is_none_or(|off| off.second.0 - second > TOGETHER)
}

fn is_under_soon(notes: &[Note], cluster: &OnsetCluster) -> bool {
    let Some(top) = notes.get(cluster.top) else { return false };
    let soon = notes.iter().skip(cluster.next).take(AHEAD);
    soon.take_while(|n| (n.on.second - top.on.second).0 <= SOON)
        .any(|n| n.key >= top.key.saturating_add(UNDER) && sounds_on(top, n.on.second.0))
}
