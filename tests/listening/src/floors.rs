//! The floors over all instruments, a little below the measured figures.

use crate::beside::Beside;
use crate::bleed::Way;
use crate::render::Condition;
use crate::sum::Sum;

/// Minimum: F1 of onsets and of notes, agreement of classes. Maximum: the loss in phrase starts, the share of
/// long notes with a wrong key, the seconds after which 95 % of notes are known.
struct Floor {
    onsets: f64,
    notes: f64,
    classes: f64,
    loss: f64,
    gross: f64,
    known: f64,
}

/// Origin: seed 9001, 14 solos, FluidR3 GM, on 2026-12-01; nothing was tuned on that seed.
fn floor(condition: Condition, beside: Beside) -> Floor {
    let of = |[onsets, notes, classes, loss, gross, known]: [f64; 6]| Floor {
        onsets,
        notes,
        classes,
        loss,
        gross,
        known,
    };
    let is_beside = beside != Beside::Nothing;
    of(match (condition, is_beside) {
        (Condition::Clean, false) => [0.985, 0.97, 0.95, 0.035, 0.012, 0.058],
        (Condition::Clean, true) => [0.985, 0.97, 0.95, 0.035, 0.012, 0.074],
        (Condition::Expressive, _) => [0.952, 0.875, 0.91, 0.04, 0.08, 0.063],
        (Condition::Bleed(Way::Straight, 18..), false) => [0.98, 0.965, 0.94, 0.035, 0.015, 0.058],
        (Condition::Bleed(_, 18..), false) => [0.975, 0.96, 0.94, 0.055, 0.018, 0.058],
        (Condition::Bleed(Way::Straight, _), false) => [0.97, 0.925, 0.93, 0.095, 0.045, 0.06],
        (Condition::Bleed(..), false) => [0.965, 0.91, 0.93, 0.125, 0.05, 0.06],
        (Condition::Bleed(Way::Balance, 18..), true) => [0.98, 0.965, 0.94, 0.055, 0.016, 0.075],
        (Condition::Bleed(_, 18..), true) => [0.98, 0.965, 0.94, 0.03, 0.014, 0.075],
        (Condition::Bleed(Way::Balance, _), true) => [0.972, 0.952, 0.94, 0.08, 0.022, 0.076],
        (Condition::Bleed(..), true) => [0.972, 0.955, 0.94, 0.04, 0.02, 0.075],
    })
}

/// The figures that miss their floors.
pub fn missed((condition, beside): (Condition, Beside), sum: &Sum) -> Vec<String> {
    let floor = floor(condition, beside);
    let least = [
        ("F1 of onsets", sum.onsets.f1(), floor.onsets),
        ("F1 of notes", sum.notes.f1(), floor.notes),
        ("agreement of classes", sum.classes(), floor.classes),
    ];
    let most = [
        ("loss of phrase starts", sum.loss(), floor.loss),
        ("long notes with another key", sum.gross(), floor.gross),
        ("seconds until 95 % are known", sum.known_after(0.95), floor.known),
    ];
    let under = least.iter().filter(|(_, is, least)| is < least);
    let over = most.iter().filter(|(_, is, most)| is > most);
    let say = |(what, is, floor): &(&str, f64, f64)| {
        format!("{}: {what} {is:.3}, the floor is {floor}", condition.name() + &beside.name())
    };
    under.chain(over).map(say).collect()
}
