//! Writes Standard MIDI Files byte for byte, so that no parser is tested against its own writer.

/// A track: events by tick. At one tick, words and changes come first, then ends, then attacks.
#[derive(Clone, Default)]
pub struct Track {
    events: Vec<(u64, u8, Vec<u8>)>,
}

/// Ticks a quarter of every file that [`song`] writes.
pub const QUARTER: u64 = 480;

impl Track {
    /// A tempo in microseconds a quarter.
    pub fn tempo(self, tick: u64, microseconds: u32) -> Self {
        let [_, high, middle, low] = microseconds.to_be_bytes();
        self.event(tick, 0, &[0xFF, 0x51, 3, high, middle, low])
    }

    /// A time signature.
    pub fn metre(self, tick: u64, (upper, lower): (u8, u32)) -> Self {
        let power = u8::try_from(lower.ilog2()).unwrap();
        self.event(tick, 0, &[0xFF, 0x58, 4, upper, power, 24, 8])
    }

    /// A note on a channel from 0.
    pub fn note(self, channel: u8, key: u8, from: u64, to: u64) -> Self {
        self.event(from, 2, &[0x90 | channel, key, 80]).event(to, 1, &[0x80 | channel, key, 0])
    }

    /// Both tracks' events in one.
    pub fn and(mut self, other: &Self) -> Self {
        self.events.extend(other.events.iter().cloned());
        self
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
        body.extend([0, 0xFF, 0x2F, 0]);
        let mut chunk = b"MTrk".to_vec();
        chunk.extend(u32::try_from(body.len()).unwrap().to_be_bytes());
        chunk.extend(body);
        chunk
    }
}

/// A file of this type.
pub fn song(kind: u16, tracks: &[Track]) -> Vec<u8> {
    with_division(kind, u16::try_from(QUARTER).unwrap(), tracks)
}

/// A file of this type and time division.
pub fn with_division(kind: u16, division: u16, tracks: &[Track]) -> Vec<u8> {
    let mut bytes = b"MThd\0\0\0\x06".to_vec();
    for word in [kind, u16::try_from(tracks.len()).unwrap(), division] {
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
            to.push(0x80 | u8::try_from(value >> shift & 0x7F).unwrap());
        }
    }
    to.push(u8::try_from(value & 0x7F).unwrap());
}
