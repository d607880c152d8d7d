//! Writes Standard MIDI Files byte for byte, without the library that the product reads them with.

/// Ticks a quarter of the files that [`midi_file`] writes.
pub const QUARTER: u64 = 480;

/// A track: events by tick. At one tick, changes of tempo and metre come first, then ends, then attacks.
#[derive(Debug, Clone, Default)]
pub struct Track {
    events: Vec<(u64, u8, Vec<u8>)>,
    end: u64,
}

impl Track {
    /// A tempo in microseconds a quarter.
    #[must_use]
    pub fn tempo(self, tick: u64, microseconds: u32) -> Self {
        let [_, high, middle, low] = microseconds.to_be_bytes();
        self.event(tick, 0, &[0xFF, 0x51, 3, high, middle, low])
    }

    /// A time signature.
    #[must_use]
    pub fn metre(self, tick: u64, (upper, lower): (u8, u32)) -> Self {
        self.event(tick, 0, &[0xFF, 0x58, 4, upper, lower.ilog2() as u8, 24, 8])
    }

    /// A marker of at most 127 letters.
    #[must_use]
    pub fn marker(self, tick: u64, text: &str) -> Self {
        let length = u8::try_from(text.len()).unwrap_or(0);
        self.event(tick, 0, &[&[0xFF, 0x06, length], text.as_bytes()].concat())
    }

    /// A note on a channel from 0.
    #[must_use]
    pub fn note(self, channel: u8, key: u8, from: u64, to: u64) -> Self {
        self.on(from, channel, key, 80).off(to, channel, key)
    }

    /// A note-on.
    #[must_use]
    pub fn on(self, tick: u64, channel: u8, key: u8, velocity: u8) -> Self {
        self.event(tick, 2, &[0x90 | channel, key, velocity])
    }

    /// A note-off.
    #[must_use]
    pub fn off(self, tick: u64, channel: u8, key: u8) -> Self {
        self.event(tick, 1, &[0x80 | channel, key, 0])
    }

    /// The track lasts to this tick at least.
    #[must_use]
    pub fn lasting(mut self, tick: u64) -> Self {
        self.end = self.end.max(tick);
        self
    }

    /// Both tracks' events in one.
    #[must_use]
    pub fn and(mut self, other: &Self) -> Self {
        self.events.extend(other.events.iter().cloned());
        self.lasting(other.end)
    }

    fn event(mut self, tick: u64, rank: u8, bytes: &[u8]) -> Self {
        self.events.push((tick, rank, bytes.to_vec()));
        self
    }

    fn bytes(&self) -> Vec<u8> {
        let mut events = self.events.clone();
        events.sort_by_key(|(tick, rank, _)| (*tick, *rank));
        let mut body = Vec::new();
        let mut at = 0;
        for (tick, _, bytes) in events {
            variable_length(tick - at, &mut body);
            body.extend(bytes);
            at = tick;
        }
        variable_length(self.end.saturating_sub(at), &mut body);
        body.extend([0xFF, 0x2F, 0]);
        let mut chunk = b"MTrk".to_vec();
        chunk.extend((body.len() as u32).to_be_bytes());
        chunk.extend(body);
        chunk
    }
}

/// A file of this type.
#[must_use]
pub fn midi_file(kind: u16, tracks: &[Track]) -> Vec<u8> {
    with_division(kind, QUARTER as u16, tracks)
}

/// A file of this type and time division.
#[must_use]
pub fn with_division(kind: u16, division: u16, tracks: &[Track]) -> Vec<u8> {
    let mut bytes = b"MThd\0\0\0\x06".to_vec();
    for word in [kind, tracks.len() as u16, division] {
        bytes.extend(word.to_be_bytes());
    }
    for track in tracks {
        bytes.extend(track.bytes());
    }
    bytes
}

fn variable_length(value: u64, to: &mut Vec<u8>) {
    for shift in [21, 14, 7] {
        if value >> shift > 0 {
            to.push(0x80 | (value >> shift & 0x7F) as u8);
        }
    }
    to.push((value & 0x7F) as u8);
}
