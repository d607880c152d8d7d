//! A take under way, in pieces as they lie in the library: notes and knots in runs of fixed
//! rows, bit for bit, so that only the runs that changed are written again.

use crate::packed::{PackError, put_metres, read_metres};
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::take::performance::Performance;
use overbar_core::time::tempo_map::Knot;
use overbar_core::time::{Beat, Moment, Second, Tempo};

/// Notes or knots in a run: what is written anew when one of them changes, at most 5 kB.
pub const RUN: usize = 128;

/// What a piece holds. The numbers are in the file and stay.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A run of the soloist's notes.
    Heard = 0,
    /// A run of the others' notes.
    Outside = 1,
    /// A run of knots of the tempo.
    Knots = 2,
    /// The metres.
    Metres = 3,
    /// How many oddities the soloist's notes had, as JSON.
    HeardOddities = 4,
    /// The same of the others'.
    OutsideOddities = 5,
}

impl Kind {
    /// All kinds.
    pub const ALL: [Self; 6] = [
        Self::Heard,
        Self::Outside,
        Self::Knots,
        Self::Metres,
        Self::HeardOddities,
        Self::OutsideOddities,
    ];

    /// Its number in the file.
    #[must_use]
    pub fn number(self) -> i64 {
        self as i64
    }
}

/// A piece of a take.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// What it holds.
    pub kind: Kind,
    /// Its number among those of its kind, from 0.
    pub number: usize,
    /// Its rows.
    pub bytes: Vec<u8>,
}

/// Rows of notes: second and beat of the attack, second and beat of the end or no number, in
/// eight bytes each; velocity in four; key and channel in one.
#[must_use]
pub fn of_notes(notes: &[Note]) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(notes.len() * NOTE);
    for note in notes {
        let off = note.off.unwrap_or(Moment { beat: Beat(f64::NAN), second: Second(f64::NAN) });
        for number in [note.on.second.0, note.on.beat.0, off.second.0, off.beat.0] {
            bytes.extend(number.to_le_bytes());
        }
        bytes.extend(note.velocity.to_le_bytes());
        bytes.extend([note.key, note.channel]);
    }
    bytes
}

/// Rows of knots: second, beat, tempo in quarters a minute.
#[must_use]
pub fn of_knots(knots: &[Knot]) -> Vec<u8> {
    let numbers = |k: &Knot| [k.second.0, k.beat.0, k.tempo.quarters_a_minute()];
    knots.iter().flat_map(numbers).flat_map(f64::to_le_bytes).collect()
}

const NOTE: usize = 4 * 8 + 4 + 2;

/// A take as it grows together from its pieces.
#[derive(Debug, Default)]
pub struct Pieces {
    heard: Vec<Note>,
    outside: Vec<Note>,
    knots: Vec<Knot>,
    metres: Option<Vec<u8>>,
    heard_oddities: Oddities,
    outside_oddities: Oddities,
}

impl Pieces {
    /// Takes the next piece; those of a kind come in their order.
    ///
    /// # Errors
    /// [`PackError::Damaged`].
    pub fn add(&mut self, kind: i64, bytes: &[u8]) -> Result<(), PackError> {
        const ODDITIES: PackError = PackError::Damaged("oddities that cannot be read");
        let kind = Kind::ALL.into_iter().find(|k| k.number() == kind);
        match kind.ok_or(PackError::Damaged("a piece of no known kind"))? {
            Kind::Heard => notes(bytes, &mut self.heard)?,
            Kind::Outside => notes(bytes, &mut self.outside)?,
            Kind::Knots => knots(bytes, &mut self.knots)?,
            Kind::Metres => self.metres = Some(bytes.to_vec()),
            Kind::HeardOddities => {
                self.heard_oddities = serde_json::from_slice(bytes).map_err(|_| ODDITIES)?;
            }
            Kind::OutsideOddities => {
                self.outside_oddities = serde_json::from_slice(bytes).map_err(|_| ODDITIES)?;
            }
        }
        Ok(())
    }

    /// The take.
    ///
    /// # Errors
    /// [`PackError::Damaged`].
    pub fn take(self) -> Result<Performance, PackError> {
        let mut take = match self.metres {
            Some(bytes) => Performance::new(read_metres(&bytes)?),
            None => Performance::default(),
        };
        // As the take was built: no knot that was taken in then is refused now.
        for knot in self.knots {
            take.tempo.push(knot);
        }
        take.heard = NoteLine::of(self.heard, self.heard_oddities);
        take.outside = NoteLine::of(self.outside, self.outside_oddities);
        Ok(take)
    }
}

/// The metres as a piece.
#[must_use]
pub fn of_metres(take: &Performance) -> Vec<u8> {
    let mut bytes = Vec::new();
    put_metres(&mut bytes, &take.metres);
    bytes
}

fn notes(bytes: &[u8], notes: &mut Vec<Note>) -> Result<(), PackError> {
    const WRONG: PackError = PackError::Damaged("a note that cannot be");
    let (rows, rest) = bytes.as_chunks::<NOTE>();
    if !rest.is_empty() {
        return Err(WRONG);
    }
    if notes.capacity() - notes.len() < rows.len() {
        // By the quarter: a long take is not to need twice its memory.
        notes.reserve_exact(rows.len().max(notes.len() / 4));
    }
    for row in rows {
        let (numbers, row) = row.split_first_chunk::<32>().ok_or(WRONG)?;
        let (numbers, _) = numbers.as_chunks::<8>();
        let [second, beat, off_second, off_beat] = numbers else { return Err(WRONG) };
        let moment = |second: &[u8; 8], beat: &[u8; 8]| Moment {
            second: Second(f64::from_le_bytes(*second)),
            beat: Beat(f64::from_le_bytes(*beat)),
        };
        let finite = |m: &Moment| m.second.0.is_finite() && m.beat.0.is_finite();
        let (velocity, row) = row.split_first_chunk::<4>().ok_or(WRONG)?;
        let [key, channel] = *row else { return Err(WRONG) };
        let note = Note {
            on: moment(second, beat),
            off: Some(moment(off_second, off_beat)).filter(finite),
            key,
            channel,
            velocity: f32::from_le_bytes(*velocity),
        };
        let sound = (0.0..=1.0).contains(&note.velocity) && key < 128 && channel < 16;
        if !(finite(&note.on) && sound) {
            return Err(WRONG);
        }
        notes.push(note);
    }
    Ok(())
}

fn knots(bytes: &[u8], knots: &mut Vec<Knot>) -> Result<(), PackError> {
    const WRONG: PackError = PackError::Damaged("a tempo that cannot be");
    let (numbers, rest) = bytes.as_chunks::<8>();
    if !rest.is_empty() {
        return Err(WRONG);
    }
    for row in numbers.chunks(3) {
        let [second, beat, tempo] = row else { return Err(WRONG) };
        let [second, beat, tempo] = [second, beat, tempo].map(|n| f64::from_le_bytes(*n));
        let tempo = Tempo::new(tempo).filter(|_| second.is_finite() && beat.is_finite());
        let knot = Knot { second: Second(second), beat: Beat(beat), tempo: tempo.ok_or(WRONG)? };
        knots.push(knot);
    }
    Ok(())
}
