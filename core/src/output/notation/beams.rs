//! Beams notes of one beat together.

use super::bars::WrittenBar;
use super::layout::Layout;
use crate::take::settings::Pulse;

/// The state of a beam at a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beam {
    /// It starts here.
    Begin,
    /// It continues.
    Continue,
    /// It ends here.
    End,
    /// A short one, towards the next note.
    ForwardHook,
    /// A short one, towards the note before.
    BackwardHook,
}

/// The beams of each sign of a bar, outermost first; none for rests, notes without flags, and notes alone in
/// their beat.
#[must_use]
pub fn beams(bar: &WrittenBar) -> Vec<Vec<Beam>> {
    let layout = Layout::of(bar.metre, Pulse::Host);
    let group = |index: usize| {
        let sign = bar.signs.get(index)?;
        (sign.note.is_some() && sign.value.flags() > 0).then(|| layout.group_of(sign.at))
    };
    let flags = |index: usize| bar.signs.get(index).map_or(0, |sign| sign.value.flags());
    let joined = |a: usize, b: usize| group(a).is_some() && group(a) == group(b);
    (0..bar.signs.len())
        .map(|index| {
            let before = index.checked_sub(1).filter(|before| joined(*before, index));
            let after = Some(index + 1).filter(|after| joined(index, *after));
            if before.is_none() && after.is_none() {
                return Vec::new();
            }
            (1..=flags(index))
                .map(|level| {
                    let from = before.is_some_and(|before| flags(before) >= level);
                    let on = after.is_some_and(|after| flags(after) >= level);
                    match (from, on) {
                        (true, true) => Beam::Continue,
                        (true, false) => Beam::End,
                        (false, true) => Beam::Begin,
                        (false, false) if before.is_some() => Beam::BackwardHook,
                        (false, false) => Beam::ForwardHook,
                    }
                })
                .collect()
        })
        .collect()
}
