//! The setting of each kind of goal: note values, positions, endings, bars or rests.

use crate::practice::steps::real;
use crate::view_model::setting::Adjustment;
use overbar_core::practice::{BarPosition, Breath, Exit, Goal, NoteValue};
use overbar_core::quantization::PulseSubdivision;

/// Name and typed value of a goal's setting.
pub fn value(goal: &Goal) -> (&'static str, String) {
    match goal {
        Goal::UnbrokenLine(values) => ("Note values", join(values.iter().map(|v| v.name()), ", ")),
        Goal::StartPosition(lists) => {
            let list =
                |list: &Vec<BarPosition>| join(list.iter().map(BarPosition::to_string), ", ");
            ("Phrases start on", join(lists.iter().map(list), "; "))
        }
        Goal::EndingPosition(exit) => ("Phrases end", exit.name().to_owned()),
        Goal::LongLine(bars) => ("Phrase length", format!("{bars} bars")),
        Goal::BreathingRoom(Breath::Beats(beats)) => {
            ("Rest after each phrase", format!("{beats} beats"))
        }
        Goal::BreathingRoom(Breath::Share(share)) => ("Space", format!("{:.0} %", share * 100.0)),
    }
}

/// A goal's setting as shown, if it is typed in another form.
pub fn shown(goal: &Goal) -> Option<String> {
    let Goal::StartPosition(lists) = goal else { return None };
    let list = |list: &Vec<BarPosition>| join(list.iter().map(BarPosition::words), ", ");
    Some(join(lists.iter().map(list), "; "))
}

fn join<T: ToString>(parts: impl Iterator<Item = T>, sign: &str) -> String {
    parts.map(|part| part.to_string()).collect::<Vec<_>>().join(sign)
}

/// How many different choruses a goal needs.
pub fn turns(goal: &Goal) -> u32 {
    let lists = match goal {
        Goal::UnbrokenLine(values) => values.len(),
        Goal::StartPosition(lists) => lists.len(),
        _ => 1,
    };
    u32::try_from(lists).unwrap_or(u32::MAX)
}

/// Lines in the order of the steps: each note value, then the rising ones.
fn lines() -> Vec<Vec<NoteValue>> {
    let each = NoteValue::ALL.map(|value| vec![value]);
    let climbs = [0..2, 0..3, 1..3, 1..4, 2..5].map(|part| NoteValue::ALL[part].to_vec());
    each.into_iter().chain(climbs).collect()
}

/// Single positions in the order of the steps: each beat and its "and", up to the fourth.
fn places() -> Vec<Vec<Vec<BarPosition>>> {
    let spot = |(pulse, slot)| vec![vec![BarPosition { pulse, subdivision: slot }]];
    (1..=4)
        .flat_map(|pulse| [(pulse, PulseSubdivision::On), (pulse, PulseSubdivision::Half)])
        .map(spot)
        .collect()
}

/// Changes the setting of a goal.
///
/// # Errors
/// Why it cannot be changed.
pub fn adjust(goal: &mut Goal, to: &Adjustment) -> Result<(), String> {
    match goal {
        Goal::UnbrokenLine(values) => match to {
            Adjustment::Typed(text) => {
                *values = text.split(',').map(note_value).collect::<Result<_, _>>()?
            }
            _ => step(values, &lines(), to)?,
        },
        Goal::StartPosition(lists) => match to {
            Adjustment::Typed(text) => {
                let list = |list: &str| list.split(',').map(str::parse).collect();
                let read: Result<Vec<Vec<BarPosition>>, String> =
                    text.split(';').map(list).collect();
                *lists = read.map_err(|why| format!("{why}."))?;
            }
            _ => step(lists, &places(), to)?,
        },
        Goal::EndingPosition(exit) => match to {
            Adjustment::Typed(text) => {
                *exit = Exit::named(text.trim())
                    .ok_or("Type \"off the beat\" or \"over the bar line\".")?;
            }
            _ => step(exit, &[Exit::OffTheBeat, Exit::OverTheBarLine], to)?,
        },
        Goal::LongLine(bars) => *bars = real(*bars, to, 1.0)?,
        Goal::BreathingRoom(Breath::Beats(beats)) => *beats = real(*beats, to, 0.5)?,
        Goal::BreathingRoom(Breath::Share(share)) => {
            *share = real(*share * 100.0, to, 5.0)?.round() / 100.0;
        }
    }
    Ok(())
}

fn note_value(text: &str) -> Result<NoteValue, String> {
    let names = NoteValue::ALL.map(NoteValue::name).join(", ");
    NoteValue::named(text.trim())
        .ok_or_else(|| format!("\"{}\" is not a note value: choose {names}.", text.trim()))
}

/// Steps to the item before or after `now`; a value not in the list counts as before it.
fn step<T: Clone + PartialEq>(now: &mut T, all: &[T], to: &Adjustment) -> Result<(), String> {
    let at = all.iter().position(|one| one == now);
    let next = match (to, at) {
        (Adjustment::Less, Some(at)) => at.checked_sub(1),
        (Adjustment::More, Some(at)) => Some(at + 1),
        (Adjustment::Less, None) => None,
        (Adjustment::More, None) | (Adjustment::Default | Adjustment::Typed(_), _) => Some(0),
    };
    *now = next.and_then(|next| all.get(next)).ok_or("Already at the limit.")?.clone();
    Ok(())
}
