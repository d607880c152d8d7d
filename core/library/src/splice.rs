//! One take into two, and two into one.

use crate::error::LibraryError;
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::take::performance::Performance;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::tempo_map::Knot;
use overbar_core::time::{Beat, Second, SecondSpan};

/// Parts a take at `at`: a note that begins there or later is in the second part. Both keep
/// tempo, metres and clock of the whole; oddities stay with the first part.
///
/// # Errors
/// [`LibraryError::CannotSplit`] where one part would have no notes.
pub fn split(take: &Performance, at: Second) -> Result<(Performance, Performance), LibraryError> {
    let mut parts = (take.clone(), take.clone());
    let part = |line: &NoteLine| {
        let (first, second): (Vec<Note>, Vec<Note>) =
            line.notes().iter().partition(|note| note.on.second < at);
        (NoteLine::of(first, *line.oddities()), NoteLine::of(second, Oddities::default()))
    };
    (parts.0.heard, parts.1.heard) = part(&take.heard);
    (parts.0.outside, parts.1.outside) = part(&take.outside);
    if parts.0.is_silent() || parts.1.is_silent() {
        return Err(LibraryError::CannotSplit);
    }
    Ok(parts)
}

/// Puts `second` behind `first`. Its clock is moved so that the tempo of `first` leads into it,
/// as if the song had gone on: a rest between the two is as long as the song says.
///
/// # Errors
/// [`LibraryError::CannotJoin`] where it does not follow `first` in the song, or has another
/// kind of grid.
pub fn join(first: &Performance, second: &Performance) -> Result<Performance, LibraryError> {
    let moved = lead(first, second)?;
    let line = |one: &NoteLine, other: &NoteLine| {
        let moved = other.notes().iter().map(|note| later(*note, moved));
        let notes = one.notes().iter().copied().chain(moved).collect();
        NoteLine::of(notes, one.oddities().plus(other.oddities()))
    };
    let mut joined = Performance::new(metres(first, second));
    joined.heard = line(&first.heard, &second.heard);
    joined.outside = line(&first.outside, &second.outside);
    joined.tempo = first.tempo.clone();
    if first.tempo != second.tempo {
        for knot in second.tempo.knots() {
            joined.tempo.push(Knot { second: knot.second + moved, ..*knot });
        }
    }
    Ok(joined)
}

/// How much later `second` has to be so that the song leads from `first` into it.
fn lead(first: &Performance, second: &Performance) -> Result<SecondSpan, LibraryError> {
    const GRIDS: LibraryError = LibraryError::CannotJoin("one of them has no beat grid");
    const ORDER: LibraryError =
        LibraryError::CannotJoin("the later one does not follow the earlier one in the song");
    let last = first.tempo.knots().last().ok_or(GRIDS)?;
    let begins = second.tempo.knots().first().ok_or(GRIDS)?;
    let end = attacks(first).reduce(Beat::later).ok_or(ORDER)?;
    if attacks(second).any(|beat| beat < end) {
        return Err(ORDER);
    }
    if first.tempo == second.tempo {
        // Parts of one take: they have its clock.
        return Ok(SecondSpan(0.0));
    }
    if begins.beat < end || begins.beat < last.beat {
        return Err(ORDER);
    }
    let arrives = last.second + last.tempo.seconds(begins.beat - last.beat);
    Ok(arrives - begins.second)
}

fn attacks(take: &Performance) -> impl Iterator<Item = Beat> {
    take.heard.notes().iter().chain(take.outside.notes()).map(|note| note.on.beat)
}

/// Metres of `first`, and from where `second` begins those of it.
fn metres(first: &Performance, second: &Performance) -> MetreMap {
    let Some(begins) = second.tempo.knots().first().filter(|_| first.metres != second.metres)
    else {
        return first.metres.clone();
    };
    let mut metres = first.metres.clone();
    metres.assume(begins.beat, second.metres.metre_at(begins.beat));
    for stretch in second.metres.stretches().iter().filter(|s| s.start > begins.beat) {
        metres.change(stretch.start, stretch.metre);
    }
    metres
}

fn later(mut note: Note, moved: SecondSpan) -> Note {
    for moment in [Some(&mut note.on), note.off.as_mut()].into_iter().flatten() {
        moment.second = moment.second + moved;
    }
    note
}
