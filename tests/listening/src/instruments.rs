//! The instruments for rendering solos.

use overbar_core::transcription::Instrument;

/// An instrument of General MIDI.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Played {
    /// Its name in reports.
    pub name: &'static str,
    /// Its program, from 0.
    pub program: u8,
    /// Lowest and highest key of solos. Origin: ranges from memory.
    pub range: (u8, u8),
    /// The tracker's instrument setting, when it is set.
    pub instrument: Instrument,
}

/// All instruments.
pub const INSTRUMENTS: [Played; 7] = [
    Played::new("alto sax", 65, (50, 80), Instrument::AltoSax),
    Played::new("tenor sax", 66, (45, 75), Instrument::TenorSax),
    Played::new("trumpet", 56, (54, 82), Instrument::Trumpet),
    Played::new("clarinet", 71, (51, 86), Instrument::Clarinet),
    Played::new("jazz guitar", 26, (43, 79), Instrument::Guitar),
    Played::new("flute", 73, (60, 91), Instrument::Flute),
    Played::new("voice", 53, (48, 74), Instrument::Voice),
];

impl Played {
    const fn new(name: &'static str, program: u8, range: (u8, u8), instrument: Instrument) -> Self {
        Self { name, program, range, instrument }
    }

    /// The octave shift, in semitones, that brings most of these keys into the range.
    fn shift(self, keys: &[u8]) -> i32 {
        let (low, high) = self.range;
        let inside = |shift: i32| {
            let fits = |key: &&u8| {
                (i32::from(low)..=i32::from(high)).contains(&(i32::from(**key) + shift))
            };
            keys.iter().filter(fits).count()
        };
        [0, -12, 12, -24, 24].into_iter().rev().max_by_key(|shift| inside(*shift)).unwrap_or(0)
    }

    /// The keys in this instrument's range; those outside are shifted by octaves.
    pub fn fit(self, keys: &[u8]) -> Vec<u8> {
        let shift = self.shift(keys);
        let (low, high) = (i32::from(self.range.0), i32::from(self.range.1));
        let fold = |key: &u8| {
            let mut key = i32::from(*key) + shift;
            while key < low {
                key += 12;
            }
            while key > high {
                key -= 12;
            }
            key as u8
        };
        keys.iter().map(fold).collect()
    }
}
