//! The columns of a bar: its notes and rests with everything attached to them.

use super::Score;
use super::column::{
    ACCIDENTAL_GAP, Column, GRACE, GRACE_STEP, Head, LEDGER, before_head, dot_width, head_y,
    single_up,
};
use super::glyph::Glyph;
use crate::output::notation::{Beam, InForce, Sign, WrittenBar, beams, rests_from};
use crate::theory::name::SpelledPitch;
use core::ops::Range;

/// A bar, or several bars of rest written as one.
#[derive(Debug, Clone)]
pub(super) struct Block<'a> {
    /// The bars, by their index in the take.
    pub bars: Range<usize>,
    /// The first of them.
    pub bar: &'a WrittenBar,
    /// Whether the metre is written at its start, because it differs from that of the bar before.
    pub new_metre: bool,
    /// Its notes and rests; none for several bars of rest.
    pub columns: Vec<Column<'a>>,
}

/// The bar at `index`, or the bars of rest from there on that are written as one.
pub(super) fn block<'a>(score: &Score<'a>, index: usize, last: usize) -> Option<Block<'a>> {
    let take = score.take;
    let bar = take.bars.get(index)?;
    let before = index.checked_sub(1).and_then(|before| take.bars.get(before));
    let new_metre = before.is_some_and(|before| before.metre != bar.metre);
    let rests = rests_from(&take.bars, score.marks, index).min(last.saturating_sub(index));
    let several = rests > 1;
    let mut in_force = InForce::new(take.signature);
    let columns = if several {
        Vec::new()
    } else {
        bar.signs
            .iter()
            .zip(beams(bar))
            .map(|(sign, beams)| column(score, sign, beams, &mut in_force))
            .collect()
    };
    Some(Block { bars: index..index + rests.max(1), bar, new_metre, columns })
}

/// Whether a bar is a whole rest.
pub(super) fn is_rest(bar: &WrittenBar) -> bool {
    matches!(bar.signs.as_slice(), [sign] if sign.note.is_none() && sign.length == bar.length)
}

fn column<'a>(
    score: &Score<'a>,
    sign: &'a Sign,
    beams: Vec<Beam>,
    in_force: &mut InForce,
) -> Column<'a> {
    let Some((note, written, pitch)) = sign.note.and_then(|note| {
        let written = score.take.onsets.get(note.onset)?;
        Some((note, written, written.pitch?))
    }) else {
        let rest = Glyph::rest(sign.value);
        return Column {
            sign,
            beams: Vec::new(),
            head: None,
            flag: 0.0,
            left: 0.0,
            right: rest.width() + dot_width(sign),
        };
    };
    let height = |pitch: SpelledPitch| head_y(score.take.clef, pitch);
    let graces: Vec<_> = if note.tied_from { &[][..] } else { &written.graces }
        .iter()
        .map(|grace| (height(*grace), in_force.next(*grace)))
        .collect();
    // A tied note keeps its accidental over the bar line without showing it.
    let accidental = if note.tied_from { None } else { in_force.next(pitch) };
    let y = height(pitch);
    let ledger = if (-0.5..=4.5).contains(&y) { 0.0 } else { LEDGER };
    let mut left: f64 = ledger;
    if let Some(alter) = accidental {
        left = before_head(y) + Glyph::accidental(alter).width();
    }
    for (y, accidental) in &graces {
        left += GRACE_STEP
            + if (-0.5..=4.5).contains(y) { 0.0 } else { LEDGER * GRACE }
            + accidental
                .map_or(0.0, |alter| (Glyph::accidental(alter).width() + ACCIDENTAL_GAP) * GRACE);
    }
    let head_width = Glyph::head(sign.value).width();
    // The flag of a downward stem is on the head's left.
    let has_flag = beams.is_empty() && single_up(y);
    let flag = Glyph::flags(sign.value, true).filter(|_| has_flag).map_or(0.0, Glyph::width);
    let right = head_width + (flag + dot_width(sign)).max(ledger);
    let head = Some(Head { onset: note.onset, y, accidental, graces });
    Column { sign, beams, head, flag, left, right }
}
