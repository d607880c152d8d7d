//! A line of notes, column by column so that it deflates well.

use super::number::{Off, beat, checked_rate, put_beat, put_second, rate_of, second};
use super::tempo::Guide;
use super::varint::{Reader, folded, put, put_run, unfolded};
use super::{MAX_NOTES, PackError};
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::time::{Beat, Moment, Second};

/// How many notes are sampled to find the sample rate.
const SAMPLED: usize = 256;

/// Marks a velocity that is not a multiple of 1/127.
const FREE_VELOCITY: u8 = 255;

/// The columns of a line. Seconds and beats are relative to expected values.
#[derive(Default)]
struct Columns {
    on_far: Vec<u8>,
    on_near: Vec<u8>,
    on_beat: Vec<u8>,
    off_far: Vec<u8>,
    off_near: Vec<u8>,
    off_beat: Vec<u8>,
    keys: Vec<u8>,
    channels: Vec<u8>,
    velocities: Vec<u8>,
    free_velocities: Vec<u8>,
}

impl Columns {
    fn all(&self) -> [&Vec<u8>; 10] {
        [
            &self.on_far,
            &self.on_near,
            &self.on_beat,
            &self.off_far,
            &self.off_near,
            &self.off_beat,
            &self.keys,
            &self.channels,
            &self.velocities,
            &self.free_velocities,
        ]
    }
}

/// Appends `line`, with beats relative to `guide`.
pub fn put_line(bytes: &mut Vec<u8>, line: &NoteLine, guide: Guide<'_>) {
    let notes = line.notes();
    let stride = notes.len().div_ceil(SAMPLED).max(1);
    // Ends too: a few attacks may lie on a coarser grid by chance.
    let moments = |n: &Note| [Some(n.on), n.off].into_iter().flatten().map(|m| m.second.0);
    let rate = rate_of(notes.iter().step_by(stride).flat_map(moments));
    put(bytes, notes.len() as u64);
    bytes.extend(rate.to_le_bytes());
    let mut columns = Columns::default();
    let mut before = Note {
        on: Moment { beat: Beat(0.0), second: Second(0.0) },
        off: None,
        key: 60,
        channel: 0,
        velocity: 0.0,
    };
    for note in notes {
        let c = &mut columns;
        let on = (&mut c.on_far, &mut c.on_near);
        let on = put_second(on, note.on.second.0, before.on.second.0, rate, 0, Off::Moves);
        let expected = guide.beat_at(on).unwrap_or(before.on.beat.0);
        let on_beat = put_beat(&mut c.on_beat, note.on.beat.0, expected, Off::Moves);
        match note.off {
            None => put(&mut c.off_far, 0),
            Some(off) => {
                let second = (&mut c.off_far, &mut c.off_near);
                let second = put_second(second, off.second.0, on, rate, 1, Off::Moves);
                let expected = guide.beat_at(second).unwrap_or(on_beat);
                put_beat(&mut c.off_beat, off.beat.0, expected, Off::Moves);
            }
        }
        put(&mut c.keys, folded(i64::from(note.key) - i64::from(before.key)));
        c.channels.push(note.channel);
        match stepped(note.velocity) {
            Some(step) => c.velocities.push(step),
            None => {
                c.velocities.push(FREE_VELOCITY);
                c.free_velocities.extend(note.velocity.to_le_bytes());
            }
        }
        before = *note;
        before.on = Moment { beat: Beat(on_beat), second: Second(on) };
    }
    for column in columns.all() {
        put_run(bytes, column);
    }
    let oddities = serde_json::to_vec(line.oddities()).unwrap_or_default();
    put_run(bytes, &oddities);
}

/// The inverse of [`put_line`].
pub fn line(bytes: &mut Reader<'_>, guide: Guide<'_>) -> Result<NoteLine, PackError> {
    let count = bytes.count()?;
    if count > MAX_NOTES {
        return Err(PackError::TooLarge);
    }
    let rate = checked_rate(bytes)?;
    let mut columns = [Reader(&[]); 10];
    for column in &mut columns {
        *column = Reader(bytes.run()?);
    }
    let oddities: Oddities = serde_json::from_slice(bytes.run()?)
        .map_err(|_| PackError::Damaged("unreadable counts of MIDI glitches"))?;
    let [
        mut on_far,
        mut on_near,
        mut on_beat,
        mut off_far,
        mut off_near,
        mut off_beat,
        mut keys,
        mut channels,
        mut velocities,
        mut free_velocities,
    ] = columns;
    let mut notes = Vec::with_capacity(count);
    let mut before = Moment { beat: Beat(0.0), second: Second(0.0) };
    let mut key = 60;
    for _ in 0..count {
        let on = second((&mut on_far, &mut on_near), before.second.0, rate, 0)?
            .ok_or(PackError::Damaged("note without a start"))?;
        let on_at = beat(&mut on_beat, guide.beat_at(on).unwrap_or(before.beat.0))?;
        let off = match second((&mut off_far, &mut off_near), on, rate, 1)? {
            None => None,
            Some(off) => {
                let at = beat(&mut off_beat, guide.beat_at(off).unwrap_or(on_at))?;
                Some(Moment { beat: Beat(at), second: Second(off) })
            }
        };
        key += unfolded(keys.number()?).clamp(-128, 128);
        let [channel] = channels.array()?;
        let [step] = velocities.array()?;
        let velocity = match step {
            FREE_VELOCITY => f32::from_le_bytes(free_velocities.array()?),
            step => f32::from(step) / 127.0,
        };
        let sound = channel < 16 && (0.0..=1.0).contains(&velocity);
        let key = u8::try_from(key).ok().filter(|key| *key < 128 && sound);
        let key = key.ok_or(PackError::Damaged("invalid note"))?;
        before = Moment { beat: Beat(on_at), second: Second(on) };
        notes.push(Note { on: before, off, key, channel, velocity });
    }
    Ok(NoteLine::of(notes, oddities))
}

/// A velocity in steps of 1/127, if that is exact.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the cast saturates")]
fn stepped(velocity: f32) -> Option<u8> {
    let step = (velocity * 127.0).round() as u8;
    (step <= 127 && f32::from(step) / 127.0 == velocity).then_some(step)
}
