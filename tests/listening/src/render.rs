//! Renders solos with a soundfont, and computes when each note sounds.

use crate::bleed::{Band, Way};
use crate::plan::{GLIDE, Plan};
use crate::solos::{Note, Solo};
use fastrand::Rng;
use rustysynth::{SoundFont, Synthesizer, SynthesizerSettings};
use std::collections::HashMap;
use std::path::Path;
use std::sync::{Arc, Mutex};

/// Sample rate of rendering.
pub const RATE: u32 = 48_000;
const RATE_F: f64 = RATE as f64;

/// How a solo is played and recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Condition {
    /// Each note tongued, a little room.
    Clean,
    /// Slurs, vibrato, scoops, breath, a longer reverb.
    Expressive,
    /// Clean, with drums and bass this many dB below the soloist.
    Bleed(Way, u8),
}

impl Condition {
    /// All scored conditions.
    pub const ALL: [Self; 8] = [
        Self::Clean,
        Self::Expressive,
        Self::Bleed(Way::Straight, 18),
        Self::Bleed(Way::Straight, 12),
        Self::Bleed(Way::Room, 18),
        Self::Bleed(Way::Room, 12),
        Self::Bleed(Way::Balance, 18),
        Self::Bleed(Way::Balance, 12),
    ];

    /// Its name in reports.
    pub fn name(self) -> String {
        match self {
            Self::Clean => "clean".to_owned(),
            Self::Expressive => "expressive".to_owned(),
            Self::Bleed(Way::Straight, under) => format!("bleed -{under} dB"),
            Self::Bleed(Way::Room, under) => format!("room -{under} dB"),
            Self::Bleed(Way::Balance, under) => format!("other balance -{under} dB"),
        }
    }
}

/// A soundfont, with cached measurements of its sounds.
pub struct Renderer {
    font: Arc<SoundFont>,
    /// The first samples of single notes, by program, key and velocity.
    singles: Mutex<HashMap<(u8, u8, u8), Single>>,
}

/// The first samples of an isolated note.
type Single = Arc<Vec<f32>>;

/// A solo as recorded.
pub struct Recording {
    /// Mono samples at [`RATE`].
    pub samples: Vec<f32>,
    /// The band's own track; empty for an expressive solo.
    pub band: Vec<f32>,
    /// The notes as they sound.
    pub notes: Vec<Note>,
}

/// A stroke: time in seconds, channel, key and velocity; 0 ends a note.
pub type Stroke = (f64, i32, i32, i32);

/// A note's attack is where its sample reaches this fraction of its peak: −12 dB.
const ATTACK: f32 = 0.251_189;

/// Length of an isolated note that is searched for its peak, in seconds.
const LOOKED_AT: f64 = 1.0;

/// A horn, a voice and a string are monophonic: a note is silent this long after the next one is struck, in
/// seconds. Notes take turns on this many channels.
const CHOKE: f64 = 0.015;
const CHANNELS: i32 = 4;

/// Samples between changes of pitch: the synthesiser's block size.
const BLOCK: usize = 64;

/// Level of breath noise relative to the note, in dB.
const BREATH: f32 = -38.0;

impl Renderer {
    /// Opens a soundfont file.
    ///
    /// # Errors
    /// Why it cannot be read.
    pub fn open(path: &Path) -> Result<Self, String> {
        let mut file = std::fs::File::open(path).map_err(|e| format!("{}: {e}", path.display()))?;
        let font = SoundFont::new(&mut file).map_err(|e| format!("{}: {e}", path.display()))?;
        Ok(Self { font: Arc::new(font), singles: Mutex::default() })
    }

    fn synthesiser(&self, effects: bool) -> Result<Synthesizer, String> {
        let mut settings = SynthesizerSettings::new(RATE as i32);
        settings.block_size = BLOCK;
        settings.enable_reverb_and_chorus = effects;
        Synthesizer::new(&self.font, &settings).map_err(|e| e.to_string())
    }

    /// The beginning of an isolated note.
    fn single(&self, program: u8, note: &Note) -> Result<Single, String> {
        let name = (program, note.key, note.velocity);
        let known = self.singles.lock().map_err(|_| "a render failed")?.get(&name).cloned();
        if let Some(known) = known {
            return Ok(known);
        }
        let mut synthesiser = self.synthesiser(false)?;
        synthesiser.process_midi_message(0, 0xC0, program.into(), 0);
        synthesiser.note_on(0, note.key.into(), note.velocity.into());
        let sound = Arc::new(mono(&mut synthesiser, (LOOKED_AT * RATE_F) as usize));
        self.singles.lock().map_err(|_| "a render failed")?.insert(name, sound.clone());
        Ok(sound)
    }

    /// The delay from a note's note-on to its attack, in seconds.
    fn attack(&self, program: u8, note: &Note) -> Result<f64, String> {
        let single = self.single(program, note)?;
        let length = (((note.off - note.on).max(0.03) * RATE_F) as usize).min(single.len());
        let sound = &single[..length];
        let peak = sound.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
        let at = sound.iter().position(|sample| sample.abs() >= peak * ATTACK).unwrap_or(0);
        Ok(at as f64 / RATE_F)
    }

    /// Whether the sample itself starts an octave lower: it is periodic over two periods but not over one.
    /// Some of the tenor saxophone's are, overblown for a tenth of a second.
    fn begins_low(&self, program: u8, note: &Note) -> Result<bool, String> {
        let single = self.single(program, note)?;
        let at = ((self.attack(program, note)? + 0.05) * RATE_F) as usize;
        let period = RATE_F / (440.0 * ((f64::from(note.key) - 69.0) / 12.0).exp2());
        let wave = &single[at..at + (6.0 * period) as usize];
        let alike = |lag: f64| {
            let lag = lag.round() as usize;
            let pairs = wave.iter().zip(&wave[lag..]);
            let (mut product, mut power) = (0.0, 1e-12);
            for (a, b) in pairs {
                product += 2.0 * a * b;
                power += a * a + b * b;
            }
            product / power
        };
        let near = |lag: f64| {
            [0.99, 1.0, 1.01].map(|part| alike(lag * part)).into_iter().fold(-1.0, f32::max)
        };
        Ok(near(period) < 0.8 && near(2.0 * period) > 0.8)
    }

    /// A solo under a condition.
    ///
    /// # Errors
    /// If it cannot be rendered.
    pub fn record(&self, solo: &Solo, condition: Condition) -> Result<Recording, String> {
        let mut random = Rng::with_seed(solo.seed);
        let expressive = condition == Condition::Expressive;
        let plan = Plan::of(solo, expressive, &mut random);
        let mut synthesiser = self.synthesiser(true)?;
        let reverb = if expressive { 90 } else { 30 };
        for channel in 0..CHANNELS {
            for (controller, value) in [(91, reverb), (93, 0), (101, 0), (100, 0), (6, 12)] {
                synthesiser.process_midi_message(channel, 0xB0, controller, value);
            }
            synthesiser.process_midi_message(channel, 0xC0, solo.played.program.into(), 0);
        }
        // For each channel: the gain of its remaining sound after another note has begun.
        let mut left_over = [1.0_f64; CHANNELS as usize];
        let mut current = 0;
        let length = (solo.seconds() * RATE_F) as usize;
        let mut samples = Vec::with_capacity(length);
        let mut events = plan.events.iter().peekable();
        let (mut left, mut right) = ([0.0; BLOCK], [0.0; BLOCK]);
        while samples.len() < length {
            let now = samples.len() as f64 / RATE_F;
            while let Some((_, command, first, second)) = events.next_if(|event| event.0 <= now) {
                if *command == 0x90 {
                    current = (current + 1) % CHANNELS;
                }
                synthesiser.process_midi_message(current, *command, *first, *second);
            }
            for (channel, left_over) in (0..CHANNELS).zip(&mut left_over) {
                let fade = BLOCK as f64 / RATE_F / CHOKE;
                *left_over = if channel == current { 1.0 } else { (*left_over - fade).max(0.0) };
                synthesiser.process_midi_message(channel, 0xB0, 11, (*left_over * 127.0) as i32);
            }
            let bend = plan.bend(now);
            let bend = (8192.0 + bend / 12.0 * 8192.0).round().clamp(0.0, 16383.0) as i32;
            synthesiser.process_midi_message(current, 0xE0, bend & 127, bend >> 7);
            synthesiser.render(&mut left, &mut right);
            samples.extend(left.iter().zip(&right).map(|(l, r)| (l + r) / 2.0));
        }
        let mut notes = Vec::new();
        for (note, struck) in solo.notes.iter().zip(&plan.struck) {
            let late = if *struck {
                // Events take effect in the next block.
                self.attack(solo.played.program, note)? + BLOCK as f64 / 2.0 / RATE_F
            } else {
                GLIDE / 2.0
            };
            let low = self.begins_low(solo.played.program, note)?;
            notes.push(Note { on: note.on + late, low, ..*note });
        }
        let loud = level(&samples, &notes);
        if expressive {
            breathe(&mut samples, &notes, loud, &mut random);
        }
        let mut recording = Recording { samples, band: Vec::new(), notes };
        if condition != Condition::Expressive {
            let seconds = length as f64 / RATE_F;
            let band = Band::beside(self, solo, seconds, &mut random)?;
            if let Condition::Bleed(way, under) = condition {
                let bleed = band.bleed(solo, way, loud * 10.0_f32.powf(-f32::from(under) / 20.0));
                recording.samples.iter_mut().zip(&bleed).for_each(|(to, from)| *to += from);
            }
            recording.band = band.track();
        }
        Ok(recording)
    }

    /// Drums on the tenth channel and a bass on the first: `strokes` in order, for `seconds`.
    ///
    /// # Errors
    /// If it cannot be rendered.
    pub fn band_of(&self, strokes: &[Stroke], seconds: f64) -> Result<Vec<f32>, String> {
        let mut synthesiser = self.synthesiser(true)?;
        synthesiser.process_midi_message(0, 0xC0, 32, 0);
        Ok(struck(&mut synthesiser, strokes, (seconds * RATE_F) as usize))
    }
}

/// Mono samples of `strokes`, which are in order.
fn struck(synthesiser: &mut Synthesizer, strokes: &[Stroke], length: usize) -> Vec<f32> {
    let mut samples = Vec::with_capacity(length);
    let mut strokes = strokes.iter().peekable();
    while samples.len() < length {
        let now = samples.len() as f64 / RATE_F;
        while let Some((_, channel, key, velocity)) = strokes.next_if(|stroke| stroke.0 <= now) {
            if *velocity > 0 {
                synthesiser.note_on(*channel, *key, *velocity);
            } else {
                synthesiser.note_off(*channel, *key);
            }
        }
        samples.extend(mono(synthesiser, BLOCK));
    }
    samples.truncate(length);
    samples
}

fn mono(synthesiser: &mut Synthesizer, length: usize) -> Vec<f32> {
    let (mut left, mut right) = (vec![0.0; length], vec![0.0; length]);
    synthesiser.render(&mut left, &mut right);
    left.iter().zip(&right).map(|(l, r)| (l + r) / 2.0).collect()
}

/// The level of a recording while notes sound, as an amplitude.
fn level(samples: &[f32], notes: &[Note]) -> f32 {
    let (mut power, mut count) = (0.0, 0_usize);
    for note in notes {
        let from = ((note.on * RATE_F) as usize).min(samples.len());
        let to = ((note.off * RATE_F) as usize).clamp(from, samples.len());
        power += samples[from..to].iter().map(|s| f64::from(s * s)).sum::<f64>();
        count += to - from;
    }
    (power / count.max(1) as f64).sqrt() as f32
}

/// Adds noise while notes sound, and a little before them.
fn breathe(samples: &mut [f32], notes: &[Note], loud: f32, random: &mut Rng) {
    let gain = loud * 10.0_f32.powf(BREATH / 20.0) * 3.0;
    let (mut envelope, mut smooth) = (0.0_f32, 0.0_f32);
    let mut next = notes.iter().peekable();
    let mut until = 0.0;
    for (index, sample) in samples.iter_mut().enumerate() {
        let now = index as f64 / RATE_F;
        while let Some(note) = next.next_if(|note| note.on - 0.03 <= now) {
            until = note.off;
        }
        let target = if now < until { 1.0 } else { 0.0 };
        envelope += (target - envelope) * 0.001;
        let white = random.f32() * 2.0 - 1.0;
        smooth += (white - smooth) * 0.3;
        *sample += gain * envelope * (white - smooth);
    }
}
