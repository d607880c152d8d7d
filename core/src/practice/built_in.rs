//! Drills by name: `line eighth`, `line half,quarter,eighth`, `entry 4&`, `entry 1&,3&`,
//! `exit off the beat`, `exit over the bar line`, `long 4`, `rest 2`, `rest 30%`.

use super::definition::{Breath, Drill, DrillForm, Exit, Goal, NoteValue};

/// The default pass mark. Origin: teaching practice, no source.
pub(super) const PASS: f64 = 0.9;

/// The drill of this name, with several goals joined by `+`: over twelve bars after a bar of count-in,
/// with a chorus for each note value.
///
/// # Errors
/// A sentence that names the invalid part and the alternatives.
pub fn built_in(name: &str) -> Result<Drill, String> {
    let goals = name.split('+').map(goal).collect::<Result<Vec<_>, _>>()?;
    let turns = goals.iter().map(|goal| match goal {
        Goal::UnbrokenLine(values) => values.len(),
        _ => 1,
    });
    let choruses = u32::try_from(turns.max().unwrap_or(1)).unwrap_or(u32::MAX);
    let drill = Drill {
        name: name.trim().to_owned(),
        goals,
        form: DrillForm::default(),
        choruses,
        tempo: None,
        pass: PASS,
    };
    drill.check().map_err(|error| format!("{}: {} {}", drill.name, error.field, error.what))?;
    Ok(drill)
}

fn goal(text: &str) -> Result<Goal, String> {
    let text = text.trim();
    let (kind, rest) = text.split_once(' ').unwrap_or((text, ""));
    let rest = rest.trim();
    let list = || rest.split(',').map(str::trim);
    let number = |text: &str| {
        let number = text.trim().parse::<f64>().ok().filter(|number| number.is_finite());
        number.ok_or_else(|| format!("\"{text}\" is not a number"))
    };
    match kind {
        "line" => {
            let value = |name: &str| {
                let names = NoteValue::ALL.map(NoteValue::name).join(", ");
                NoteValue::named(name)
                    .ok_or(format!("\"{name}\" is not a note value: choose {names}"))
            };
            Ok(Goal::UnbrokenLine(list().map(value).collect::<Result<_, _>>()?))
        }
        "entry" => Ok(Goal::StartPosition(vec![list().map(str::parse).collect::<Result<_, _>>()?])),
        "exit" => Exit::named(rest).map(Goal::EndingPosition).ok_or(format!(
            "unknown exit \"{rest}\": choose \"off the beat\" or \"over the bar line\""
        )),
        "long" => Ok(Goal::LongLine(number(rest)?)),
        "rest" => Ok(Goal::BreathingRoom(match rest.strip_suffix('%') {
            Some(share) => Breath::Share(number(share)? / 100.0),
            None => Breath::Beats(number(rest)?),
        })),
        _ => Err(format!(
            "unknown drill \"{text}\": choose line VALUES, entry POSITIONS, exit off the beat, exit \
             over the bar line, long BARS, rest BEATS or rest SHARE%"
        )),
    }
}
