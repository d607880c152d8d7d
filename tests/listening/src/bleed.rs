//! The band of a solo, and its bleed into the soloist's microphone.

use crate::render::{Renderer, Stroke};
use crate::room::Path;
use crate::solos::Solo;
use fastrand::Rng;
use overbar_testkit::soloist::chance;

/// How the band reaches the microphone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Way {
    /// As on its own track, but softer.
    Straight,
    /// Through a room, with drums and bass each in their own place.
    Room,
    /// The same, with another balance of drums and bass than on the band's track.
    Balance,
}

/// The change of the bass level relative to the drums, up or down, in dB.
const BALANCE: f32 = 6.0;

/// Level of the band's own track, as an amplitude.
const TRACK: f32 = 0.1;

/// Seed offset for rooms.
const ROOMS: u64 = 0x00b1_eed0;

/// The band of a solo.
pub struct Band {
    drums: Vec<f32>,
    bass: Vec<f32>,
}

impl Band {
    /// Drums and a walking bass at the solo's tempo, for `seconds`.
    ///
    /// # Errors
    /// If it cannot be rendered.
    pub fn beside(
        renderer: &Renderer,
        solo: &Solo,
        seconds: f64,
        random: &mut Rng,
    ) -> Result<Self, String> {
        let strokes = strokes(solo, random);
        let on = |drums: bool| -> Vec<Stroke> {
            strokes.iter().copied().filter(|stroke| (stroke.1 == 9) == drums).collect()
        };
        Ok(Self {
            drums: renderer.band_of(&on(true), seconds)?,
            bass: renderer.band_of(&on(false), seconds)?,
        })
    }

    /// Its own track.
    pub fn track(&self) -> Vec<f32> {
        scaled(mixed(&self.drums, &self.bass, 1.0), TRACK)
    }

    /// The bleed into the soloist's microphone, at amplitude `loud`.
    pub fn bleed(&self, solo: &Solo, way: Way, loud: f32) -> Vec<f32> {
        let mut random = Rng::with_seed(solo.seed ^ ROOMS);
        let paths = [Path::invent(&mut random), Path::invent(&mut random)];
        let balance = if random.bool() { BALANCE } else { -BALANCE };
        let through_room = |balance: f32| {
            let [drums, bass] = &paths;
            let balance = 10.0_f32.powf(balance / 20.0);
            mixed(&drums.carry(&self.drums), &bass.carry(&self.bass), balance)
        };
        let bleed = match way {
            Way::Straight => mixed(&self.drums, &self.bass, 1.0),
            Way::Room => through_room(0.0),
            Way::Balance => through_room(balance),
        };
        scaled(bleed, loud)
    }
}

fn mixed(drums: &[f32], bass: &[f32], balance: f32) -> Vec<f32> {
    drums.iter().zip(bass).map(|(drums, bass)| drums + balance * bass).collect()
}

/// Scaled to amplitude `loud` overall.
fn scaled(mut samples: Vec<f32>, loud: f32) -> Vec<f32> {
    let power = samples.iter().map(|s| f64::from(s * s)).sum::<f64>();
    let is = (power / samples.len().max(1) as f64).sqrt() as f32;
    samples.iter_mut().for_each(|sample| *sample *= loud / is.max(1e-9));
    samples
}

fn strokes(solo: &Solo, random: &mut Rng) -> Vec<Stroke> {
    let beat = 60.0 / solo.tempo.clamp(60.0, 260.0);
    let mut events: Vec<Stroke> = Vec::new();
    let mut bass = 36;
    for number in 0..(solo.seconds() / beat) as u32 {
        let at = f64::from(number) * beat;
        bass = (bass + random.i32(-4..=4)).clamp(28, 52);
        let strong = number % 2 == 1;
        events.push((at, 0, bass, random.i32(75..100)));
        events.push((at + beat * 0.9, 0, bass, 0));
        events.push((at, 9, 51, random.i32(70..100)));
        if strong {
            events.push((at + beat * 0.66, 9, 51, random.i32(50..80)));
            events.push((at, 9, 44, 80));
        }
        if number % 4 == 0 {
            events.push((at, 9, 36, random.i32(40..70)));
        }
        if chance(0.3, random) {
            events.push((at + beat * 0.66, 9, 38, random.i32(40..110)));
        }
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    events
}
