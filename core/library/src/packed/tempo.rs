//! The tempo and metres of a take.

use super::number::{Off, beat, put_beat, put_second, rate_of, second};
use super::varint::{Reader, folded, put, put_run, unfolded};
use super::{MAX_NOTES, PackError};
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::{MetreMap, Stretch};
use overbar_core::time::tempo_map::{Knot, TempoMap};
use overbar_core::time::{Beat, Second, Tempo};

/// How many knots are sampled to find the sample rate.
const SAMPLED: usize = 256;

/// This many knots are always stored in full.
const FEW_KNOTS: usize = 64;

/// The current tempo.
const STEADY: u8 = 0;
/// A new current tempo follows.
const NEW: u8 = 1;
/// The tempo up to the next knot: a host's position jittered.
const BENT: u8 = 2;
/// A tempo for only this knot follows.
const ODD: u8 = 3;

/// Relative error that a bent tempo may have by rounding its ends: 0.1 at 100 BPM, for one block.
const BENT_TOLERANCE: f64 = 1e-3;

const NO_TEMPO: PackError = PackError::Damaged("invalid tempo");

/// Expected beats, by linear interpolation. The formula is part of the format and must not change with
/// [`TempoMap`]'s.
#[derive(Clone, Copy)]
pub struct Guide<'a>(pub &'a [Knot]);

impl Guide<'_> {
    /// The beat at `second`; `None` without a grid.
    pub fn beat_at(&self, second: f64) -> Option<f64> {
        let after = self.0.partition_point(|k| k.second.0 <= second);
        self.0.get(after.saturating_sub(1)).map(|knot| on_line(knot, knot.tempo, second))
    }
}

fn on_line(knot: &Knot, tempo: Tempo, second: f64) -> f64 {
    knot.beat.0 + (second - knot.second.0) * tempo.quarters_a_minute() / 60.0
}

/// The tempo from one knot to the next.
fn slope(from: &Knot, to: &Knot) -> Option<Tempo> {
    Tempo::new((to.beat - from.beat).0 * 60.0 / (to.second - from.second).0)
}

fn is_near(one: Tempo, other: Tempo) -> bool {
    (one.quarters_a_minute() / other.quarters_a_minute() - 1.0).abs() < BENT_TOLERANCE
}

/// The expected beat of a knot, from the previous one and the current tempo.
fn expected(before: Option<&Knot>, steady: Option<Tempo>, second: f64) -> f64 {
    before.zip(steady).map_or(0.0, |(knot, tempo)| on_line(knot, tempo, second))
}

/// Never before the previous beat, where a host's rounding would step back.
fn not_back(beat: f64, before: Option<&Knot>) -> Beat {
    before.map_or(Beat(beat), |knot| knot.beat.later(Beat(beat)))
}

/// Appends `tempo` of a take with this many notes. Returns its knots as they will be read: rounded if
/// there is more than one for eight notes, as with a host that jitters.
pub fn put_tempo(bytes: &mut Vec<u8>, tempo: &TempoMap, notes: usize) -> Vec<Knot> {
    let knots = tempo.knots();
    let few = knots.len() <= FEW_KNOTS + notes / 8;
    let off = if few { Off::Stays } else { Off::Moves };
    let stride = knots.len().div_ceil(SAMPLED).max(1);
    let rate = rate_of(knots.iter().step_by(stride).map(|k| k.second.0));
    let (mut far, mut near, mut beats, mut tempos) = (vec![], vec![], vec![], vec![]);
    let mut kept: Vec<Knot> = Vec::with_capacity(knots.len());
    let mut steady: Option<Tempo> = None;
    let mut bends = false;
    for (index, knot) in knots.iter().enumerate() {
        let before = kept.last();
        let at = before.map_or(0.0, |k| k.second.0);
        let length = (far.len(), near.len());
        let at = put_second((&mut far, &mut near), knot.second.0, at, rate, 0, off);
        if before.is_some_and(|k| k.second.0 >= at) {
            // Two knots within a grain are one.
            far.truncate(length.0);
            near.truncate(length.1);
            continue;
        }
        let beat =
            not_back(put_beat(&mut beats, knot.beat.0, expected(before, steady, at), off), before);
        let knot_kept = Knot { second: Second(at), beat, tempo: knot.tempo };
        if bends {
            put_bent(&mut tempos, kept.last_mut(), Some(&knot_kept));
        }
        let leads_on = knots.get(index + 1).and_then(|next| slope(knot, next));
        match steady {
            Some(steady) if steady == knot.tempo => {
                tempos.push(STEADY);
                bends = false;
            }
            Some(_) if leads_on == Some(knot.tempo) => bends = true,
            _ => {
                tempos.push(NEW);
                tempos.extend(knot.tempo.quarters_a_minute().to_le_bytes());
                (steady, bends) = (Some(knot.tempo), false);
            }
        }
        kept.push(knot_kept);
    }
    if bends {
        put_bent(&mut tempos, kept.last_mut(), None);
    }
    put(bytes, kept.len() as u64);
    bytes.extend(rate.to_le_bytes());
    for column in [far, near, beats, tempos] {
        put_run(bytes, &column);
    }
    kept
}

/// Appends the tempo of a piece that may be bent, whose end is now known.
fn put_bent(tempos: &mut Vec<u8>, piece: Option<&mut Knot>, end: Option<&Knot>) {
    let Some(knot) = piece else { return };
    let bent = end.and_then(|end| slope(knot, end)).filter(|bent| is_near(*bent, knot.tempo));
    if let Some(bent) = bent {
        tempos.push(BENT);
        knot.tempo = bent;
    } else {
        tempos.push(ODD);
        tempos.extend(knot.tempo.quarters_a_minute().to_le_bytes());
    }
}

/// The inverse of [`put_tempo`].
pub fn tempo(bytes: &mut Reader<'_>) -> Result<TempoMap, PackError> {
    let count = bytes.count()?;
    if count > MAX_NOTES {
        return Err(PackError::TooLarge);
    }
    let rate = super::number::checked_rate(bytes)?;
    let (mut far, mut near) = (Reader(bytes.run()?), Reader(bytes.run()?));
    let (mut beats, mut tempos) = (Reader(bytes.run()?), Reader(bytes.run()?));
    let mut kept: Vec<Knot> = Vec::with_capacity(count);
    let mut steady = None;
    let mut bends = false;
    for _ in 0..count {
        let before = kept.last();
        let at = before.map_or(0.0, |k| k.second.0);
        let at = second((&mut far, &mut near), at, rate, 0)?.ok_or(NO_TEMPO)?;
        let at_beat = not_back(beat(&mut beats, expected(before, steady, at))?, before);
        let [code] = tempos.array()?;
        let tempo = match code {
            NEW | ODD => Tempo::new(f64::from_le_bytes(tempos.array()?)),
            STEADY | BENT => steady,
            _ => None,
        };
        let tempo = tempo.ok_or(NO_TEMPO)?;
        if code == NEW {
            steady = Some(tempo);
        }
        let knot = Knot { second: Second(at), beat: at_beat, tempo };
        if let Some(before) = kept.last_mut().filter(|_| bends) {
            before.tempo = slope(before, &knot).ok_or(NO_TEMPO)?;
        }
        bends = code == BENT;
        kept.push(knot);
    }
    TempoMap::of(kept).ok_or(NO_TEMPO)
}

/// Appends `metres`, exactly.
pub fn put_metres(bytes: &mut Vec<u8>, metres: &MetreMap) {
    put(bytes, metres.stretches().len() as u64);
    for stretch in metres.stretches() {
        bytes.extend(stretch.start.0.to_le_bytes());
        put(bytes, folded(stretch.bar));
        bytes.extend([stretch.metre.numerator(), stretch.metre.denominator()]);
    }
}

/// The inverse of [`put_metres`].
pub fn metres(bytes: &mut Reader<'_>) -> Result<MetreMap, PackError> {
    const WRONG: PackError = PackError::Damaged("invalid time signatures");
    let count = bytes.count()?;
    let mut stretches = Vec::new();
    for _ in 0..count {
        let start = Beat(f64::from_le_bytes(bytes.array()?));
        let bar = unfolded(bytes.number()?);
        let [numerator, denominator] = bytes.array()?;
        let metre = Metre::new(numerator.into(), denominator.into()).ok_or(WRONG)?;
        stretches.push(Stretch { start, bar, metre });
    }
    MetreMap::of(stretches).ok_or(WRONG)
}
