//! What must be reached over all instruments, a little under what was measured.

use crate::render::Condition;
use crate::sum::Sum;

/// At least: F1 of onsets and of notes, agreement of classes. At most: what is lost of phrase starts, the
/// share of long notes with another key, seconds after which 95 % of notes are known.
struct Floor {
    onsets: f64,
    notes: f64,
    classes: f64,
    loss: f64,
    gross: f64,
    known: f64,
}

/// Origin: seed 9001, 14 solos, FluidR3 GM, on 2026-11-29; nothing was tuned on that seed.
fn floor(condition: Condition) -> Floor {
    let of = |[onsets, notes, classes, loss, gross, known]: [f64; 6]| Floor {
        onsets,
        notes,
        classes,
        loss,
        gross,
        known,
    };
    of(match condition {
        Condition::Clean => [0.97, 0.93, 0.95, 0.035, 0.06, 0.058],
        Condition::Expressive => [0.94, 0.84, 0.91, 0.04, 0.145, 0.063],
        Condition::Bleed(18..) => [0.965, 0.92, 0.94, 0.035, 0.075, 0.058],
        Condition::Bleed(_) => [0.96, 0.88, 0.93, 0.095, 0.11, 0.06],
    })
}

/// What is worse than it must be.
pub fn missed(condition: Condition, sum: &Sum) -> Vec<String> {
    let floor = floor(condition);
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
        format!("{}: {what} {is:.3}, the floor is {floor}", condition.name())
    };
    under.chain(over).map(say).collect()
}
