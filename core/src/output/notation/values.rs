//! Cuts a stretch of time into note values where a reader expects it, joined by ties.

use super::layout::{BEAT, Layout};
use super::value::{Ratio, Value};

/// One note value, or one rest, in a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Piece {
    /// Its start in ticks from the bar line, and its length.
    pub at: u32,
    pub length: u32,
    pub value: Value,
    pub dotted: bool,
    pub tuplet: Option<Ratio>,
}

/// Cuts a stretch outside tuplets into note values, or rests.
pub(super) fn plain(layout: &Layout, from: u32, to: u32, rest: bool, pieces: &mut Vec<Piece>) {
    if from >= to {
        return;
    }
    let inside = layout.strongest_between(from, to);
    let value = Value::of(to - from).filter(|(_, dotted)| {
        inside.is_none_or(|(at, _)| {
            if rest {
                is_clear_rest(layout, from, at, *dotted)
            } else {
                is_clear(layout, from, to, at)
            }
        })
    });
    match (value, inside) {
        (Some((value, dotted)), _) => {
            pieces.push(Piece { at: from, length: to - from, value, dotted, tuplet: None });
        }
        (None, Some((at, _))) => {
            plain(layout, from, at, rest, pieces);
            plain(layout, at, to, rest, pieces);
        }
        // Two adjacent points: cannot happen with any subdivision.
        (None, None) => {}
    }
}

/// Whether a note may span `inside`, its strongest inner point. Common practice, no source: a note is cut
/// at a point stronger than its start, except an off-beat note of one beat, a half note on beat two of four,
/// and a note within one beat.
fn is_clear(layout: &Layout, from: u32, to: u32, inside: u32) -> bool {
    let (start, end, middle) = (layout.level(from), layout.level(to), layout.level(inside));
    let off_beat =
        start == BEAT + 1 && end == start && middle == BEAT && to - from == layout.pulse();
    let second_beat = start == BEAT && end == BEAT && middle == BEAT - 1 && layout.is_four_simple();
    let in_beat = !layout.is_compound() && layout.in_one_beat(from, to);
    start <= middle || in_beat || !layout.is_compound() && (off_beat || second_beat)
}

/// Whether a rest may span its strongest inner point: rests show the beats. Dotted rests are for metres whose
/// beats divide into three.
fn is_clear_rest(layout: &Layout, from: u32, inside: u32, dotted: bool) -> bool {
    layout.level(from) < layout.level(inside) && (!dotted || layout.is_compound())
}

/// Cuts a stretch within a frame that is a tuplet of `ratio`.
pub(super) fn in_tuplet(
    frame: u32,
    length: u32,
    ratio: Ratio,
    from: u32,
    to: u32,
    pieces: &mut Vec<Piece>,
) {
    if from >= to {
        return;
    }
    // The written length: a triplet's eighth is written as any eighth.
    let written = (to - from) * ratio.actual / ratio.normal;
    if let Some((value, dotted)) = Value::of(written) {
        pieces.push(Piece { at: from, length: to - from, value, dotted, tuplet: Some(ratio) });
        return;
    }
    // For example five sixths: cut at the middle of the frame if it is inside, or else after the first part.
    let (half, unit) = (frame + length / 2, length / ratio.actual);
    let cut = if from < half && half < to && length.is_multiple_of(2 * unit) {
        half
    } else {
        from + unit
    };
    if cut < to {
        in_tuplet(frame, length, ratio, from, cut, pieces);
        in_tuplet(frame, length, ratio, cut, to, pieces);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::take::settings::Pulse;
    use crate::time::metre::Metre;

    fn lengths(upper: i32, lower: i32, from: u32, to: u32, rest: bool) -> Vec<u32> {
        let layout = Layout::of(Metre::new(upper, lower).unwrap(), Pulse::Host);
        let mut pieces = Vec::new();
        plain(&layout, from, to, rest, &mut pieces);
        pieces.iter().map(|piece| piece.length).collect()
    }

    /// Common practice, no source. A quarter is 192.
    #[test]
    fn notes_are_cut_where_a_reader_expects_the_beat() {
        for (metre, from, to, cuts) in [
            // A whole bar, a dotted half on one, a half on two.
            ((4, 4), 0, 768, vec![768]),
            ((4, 4), 0, 576, vec![576]),
            ((4, 4), 192, 576, vec![384]),
            // A quarter on the "and" of 1; on the "and" of 2, over the middle.
            ((4, 4), 96, 288, vec![192]),
            ((4, 4), 288, 480, vec![96, 96]),
            // A dotted quarter on 1, and on the "and" of 1.
            ((4, 4), 0, 288, vec![288]),
            ((4, 4), 96, 384, vec![96, 192]),
            // Sixteenth, eighth, sixteenth; a dotted eighth after a sixteenth.
            ((4, 4), 48, 144, vec![96]),
            ((4, 4), 48, 192, vec![144]),
            ((4, 4), 144, 288, vec![48, 96]),
            ((3, 4), 192, 576, vec![384]),
            ((3, 4), 0, 576, vec![576]),
            // 6/8: a dotted quarter, a quarter on the second eighth, over the middle.
            ((6, 8), 0, 288, vec![288]),
            ((6, 8), 96, 288, vec![192]),
            ((6, 8), 192, 384, vec![96, 96]),
            ((12, 8), 0, 576, vec![576]),
            ((5, 8), 0, 480, vec![288, 192]),
        ] {
            assert_eq!(lengths(metre.0, metre.1, from, to, false), cuts, "{metre:?} {from}-{to}");
        }
    }

    #[test]
    fn rests_show_the_beats() {
        for (metre, from, to, cuts) in [
            ((4, 4), 0, 384, vec![384]),
            ((4, 4), 192, 576, vec![192, 192]),
            ((4, 4), 96, 768, vec![96, 192, 384]),
            ((4, 4), 0, 288, vec![192, 96]),
            ((6, 8), 0, 288, vec![288]),
            ((6, 8), 96, 576, vec![96, 96, 288]),
        ] {
            assert_eq!(lengths(metre.0, metre.1, from, to, true), cuts, "{metre:?} {from}-{to}");
        }
    }

    #[test]
    fn a_tuplet_adds_up() {
        let triplet = Ratio { actual: 3, normal: 2 };
        let mut pieces = Vec::new();
        in_tuplet(0, 192, triplet, 64, 192, &mut pieces);
        assert_eq!(pieces.len(), 1);
        assert_eq!((pieces[0].value, pieces[0].dotted), (Value::Quarter, false));
        let sextuplet = Ratio { actual: 6, normal: 4 };
        pieces.clear();
        in_tuplet(0, 192, sextuplet, 0, 160, &mut pieces);
        assert_eq!(pieces.iter().map(|piece| piece.length).sum::<u32>(), 160);
    }
}
