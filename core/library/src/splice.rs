//! Splits a take in two, and merges two takes into one.

use crate::error::LibraryError;
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::take::performance::Performance;
use overbar_core::take::piece::Piece;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::tempo_map::{Knot, TempoMap};
use overbar_core::time::{Beat, Second, SecondSpan};

/// Splits a take at `at`: a note that starts there or later goes to the second part. Both parts
/// keep the tempo, metres and clock of the whole; oddities stay with the first. Each part of a comp keeps
/// the stretches that reach into it.
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
    (parts.0.soloist, parts.1.soloist) = part(&take.soloist);
    (parts.0.ignored, parts.1.ignored) = part(&take.ignored);
    if let Some(beat) = take.host_tempo().beat_at(at) {
        parts.0.keep_pieces(Beat(f64::NEG_INFINITY), beat);
        parts.1.keep_pieces(beat, Beat(f64::INFINITY));
    }
    if parts.0.is_silent() || parts.1.is_silent() {
        return Err(LibraryError::CannotSplit);
    }
    Ok(parts)
}

/// Merges takes into one, in the order given. Each later take's clock is moved to where the tempo
/// before it reaches its first beat, so a rest between two takes is as long as in the song. Parts of one
/// take keep their own anchors; other takes keep the resulting tempo map without anchors, and like a comp the source of
/// each part's beats.
///
/// # Errors
/// [`LibraryError::CannotMerge`] where a take does not follow the one before it in the song, where
/// one has no beat grid, or where there are none.
pub fn join<'a>(
    mut takes: impl Iterator<Item = &'a Performance>,
) -> Result<Performance, LibraryError> {
    let first = takes.next().ok_or(LibraryError::CannotMerge("none are given"))?;
    takes.try_fold(first.clone(), |joined, next| append(&joined, next))
}

fn append(first: &Performance, second: &Performance) -> Result<Performance, LibraryError> {
    let host = host_tempo(first);
    let parts_of_one = host == host_tempo(second) && !host.knots().is_empty();
    if parts_of_one && first.own_grid != second.own_grid {
        return append_regridded(first, second);
    }
    let moved = lead(first, second)?;
    let line = |one: &NoteLine, other: &NoteLine| {
        let moved = other.notes().iter().map(|note| later(*note, moved));
        let notes = one.notes().iter().copied().chain(moved).collect();
        NoteLine::of(notes, one.oddities().plus(other.oddities()))
    };
    let mut joined = Performance::new(metres(first, second));
    joined.soloist = line(&first.soloist, &second.soloist);
    joined.ignored = line(&first.ignored, &second.ignored);
    joined.tempo = first.tempo.clone();
    joined.own_grid = first.own_grid.clone().filter(|_| first.own_grid == second.own_grid);
    if first.tempo != second.tempo {
        for knot in second.tempo.knots() {
            joined.tempo.push(Knot { second: knot.second + moved, ..*knot });
        }
    }
    if joined.own_grid.is_none() {
        joined.pieces = pieces(first, second);
    }
    Ok(joined)
}

/// The sources of the beats of both; none where the host gave all of them.
fn pieces(first: &Performance, second: &Performance) -> Vec<Piece> {
    let (mut pieces, later) = (first.whole_pieces(), second.whole_pieces());
    if let (Some(last), Some(next)) = (pieces.last_mut(), later.first()) {
        // Its last note may sound on.
        last.to = last.to.earlier(next.from).later(last.from);
    }
    pieces.extend(later);
    pieces.retain(|piece| piece.from < piece.to);
    let is_any_own = pieces.iter().any(|piece| piece.source.is_some());
    if is_any_own { pieces } else { Vec::new() }
}

/// Two parts of a take whose grids were set separately.
fn append_regridded(
    first: &Performance,
    second: &Performance,
) -> Result<Performance, LibraryError> {
    const NO_FIT: LibraryError = LibraryError::CannotMerge(
        "the bars of the later one don't follow those of the earlier one",
    );
    let (from, _) = second.span().ok_or(NO_FIT)?;
    let anchors = first.anchors().zip(second.anchors()).ok_or(NO_FIT)?;
    let anchors = anchors.0.followed_by(&anchors.1, from).map_err(|_| NO_FIT)?;
    let [first, second] = [first, second].map(|part| {
        let mut part = part.clone();
        part.set_grid(None);
        part
    });
    let mut joined = append(&first, &second)?;
    joined.set_grid(Some(&anchors));
    Ok(joined)
}

fn host_tempo(take: &Performance) -> &TempoMap {
    take.own_grid.as_deref().map_or(&take.tempo, |own| &own.host_tempo)
}

/// How much later `second` must start to continue the song from `first`.
fn lead(first: &Performance, second: &Performance) -> Result<SecondSpan, LibraryError> {
    const NO_GRID: LibraryError =
        LibraryError::CannotMerge("one of them has no tempo from the host");
    const WRONG_ORDER: LibraryError =
        LibraryError::CannotMerge("the later one must follow the earlier one in the song");
    let last = first.tempo.knots().last().ok_or(NO_GRID)?;
    let begins = second.tempo.knots().first().ok_or(NO_GRID)?;
    let end = attacks(first).reduce(Beat::later).ok_or(WRONG_ORDER)?;
    if attacks(second).any(|beat| beat < end) {
        return Err(WRONG_ORDER);
    }
    if first.tempo == second.tempo {
        // Parts of one take share its clock.
        return Ok(SecondSpan(0.0));
    }
    if begins.beat < end || begins.beat < last.beat {
        return Err(WRONG_ORDER);
    }
    let arrives = last.second + last.tempo.seconds(begins.beat - last.beat);
    Ok(arrives - begins.second)
}

fn attacks(take: &Performance) -> impl Iterator<Item = Beat> {
    take.soloist.notes().iter().chain(take.ignored.notes()).map(|note| note.on.beat)
}

/// The metres of `first`, then those of `second` from where it starts.
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
