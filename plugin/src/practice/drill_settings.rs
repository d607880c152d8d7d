//! The settings of a drill, changed in steps or by typing.

use crate::practice::goal_settings;
use crate::practice::steps::{count, real, typed};
use crate::view_model::practice::DrillSetting;
use crate::view_model::setting::Adjustment;
use overbar_core::practice::{Drill, DrillError, TempoPlan};

/// Settings of the whole drill: id and name.
const WHOLE: [(&str, &str); 8] = [
    ("choruses", "Choruses"),
    ("bars", "Chorus length"),
    ("first_bar", "First bar"),
    ("count_in", "Count-in"),
    ("pass", "Pass mark"),
    ("from", "Tempo"),
    ("to", "Tempo up to"),
    ("by", "Tempo step"),
];

/// All settings of a drill, those of its goals first.
pub fn settings(drill: &Drill) -> Vec<DrillSetting> {
    let goals = drill.goals.iter().enumerate().map(|(index, goal)| {
        let (name, typed) = goal_settings::value(goal);
        let one = setting(drill, &format!("goal{index}"), name, typed, Some(index));
        let shown = goal_settings::shown(goal).filter(|shown| is_short(shown));
        DrillSetting { value: shown.unwrap_or(one.value), ..one }
    });
    let climbs = drill.tempo.is_some();
    let whole = WHOLE.iter().filter(|(id, _)| climbs || !["to", "by"].contains(id));
    let whole = whole.map(|(id, name)| setting(drill, id, name, value(drill, id), None));
    goals.chain(whole).collect()
}

/// A longer value is shortened to its number of items.
const LONGEST: usize = 24;

fn is_short(value: &str) -> bool {
    value.chars().count() <= LONGEST
}

fn setting(
    drill: &Drill,
    id: &str,
    name: &str,
    typed: String,
    goal: Option<usize>,
) -> DrillSetting {
    let goes = |to: &Adjustment| {
        let mut turned = drill.clone();
        adjust(&mut turned, id, to).is_ok() && turned != *drill
    };
    let value = if is_short(&typed) {
        typed.clone()
    } else {
        format!("{} in total", typed.split([',', ';']).count())
    };
    DrillSetting {
        at_least: !goes(&Adjustment::Less),
        at_most: !goes(&Adjustment::More),
        id: id.to_owned(),
        name: name.to_owned(),
        value,
        typed,
        goal,
    }
}

fn value(drill: &Drill, id: &str) -> String {
    let tempo = |of: fn(&TempoPlan) -> f64| {
        drill.tempo.as_ref().map_or_else(|| ANY_TEMPO.to_owned(), |plan| of(plan).to_string())
    };
    match id {
        "choruses" => drill.choruses.to_string(),
        "bars" => bars(drill.form.bars),
        "first_bar" => drill.form.first_bar.map_or(AFTER.to_owned(), |bar| bar.to_string()),
        "count_in" => bars(drill.form.count_in),
        "pass" => format!("{:.0} %", drill.pass * 100.0),
        "from" => tempo(|plan| plan.from),
        "to" => tempo(|plan| plan.to),
        _ => tempo(|plan| plan.by),
    }
}

fn bars(count: u32) -> String {
    if count == 1 { "1 bar".to_owned() } else { format!("{count} bars") }
}

const ANY_TEMPO: &str = "any";
const AFTER: &str = "after the count-in";

/// The tempo plan when a tempo is first set.
const FIRST_PLAN: TempoPlan = TempoPlan { from: 100.0, to: 120.0, by: 4.0 };

/// Step of a tempo, in quarter notes a minute.
const TEMPO_STEP: f64 = 4.0;

/// Changes a setting of `drill`.
///
/// # Errors
/// Why it cannot be changed; the drill is unchanged then.
pub fn adjust(drill: &mut Drill, id: &str, to: &Adjustment) -> Result<(), String> {
    let mut turned = drill.clone();
    match id.strip_prefix("goal").and_then(|index| index.parse::<usize>().ok()) {
        Some(index) => {
            let goal = turned.goals.get_mut(index).ok_or("No such goal.")?;
            goal_settings::adjust(goal, to)?;
            // Each value or list of positions needs a chorus.
            turned.choruses = turned.choruses.max(goal_settings::turns(goal));
        }
        None => adjust_whole(&mut turned, id, to)?,
    }
    turned.check().map_err(|fault| words(&fault))?;
    *drill = turned;
    Ok(())
}

fn adjust_whole(drill: &mut Drill, id: &str, to: &Adjustment) -> Result<(), String> {
    match id {
        "choruses" => drill.choruses = count(drill.choruses, to)?,
        "bars" => drill.form.bars = count(drill.form.bars, to)?,
        "count_in" => drill.form.count_in = count(drill.form.count_in, to)?,
        "first_bar" => {
            drill.form.first_bar = match (to, drill.form.first_bar) {
                (Adjustment::Typed(text), _) if text.trim() == AFTER => None,
                (Adjustment::Typed(text), _) => Some(typed(text)?),
                (Adjustment::Default, _) | (Adjustment::Less, None | Some(1)) => None,
                (Adjustment::Less, Some(bar)) => Some(bar.saturating_sub(1)),
                (Adjustment::More, bar) => Some(bar.map_or(1, |bar| bar.saturating_add(1))),
            }
        }
        "pass" => drill.pass = real(drill.pass * 100.0, to, 5.0)?.clamp(0.0, 100.0) / 100.0,
        "from" => {
            drill.tempo = match (to, drill.tempo) {
                (Adjustment::Typed(text), _) if text.trim() == ANY_TEMPO => None,
                (Adjustment::Default, _) | (Adjustment::Less, None) => None,
                (Adjustment::Less, Some(plan)) if plan.from <= FIRST_PLAN.from => None,
                (Adjustment::More, None) => Some(FIRST_PLAN),
                (to, plan) => {
                    let plan = plan.unwrap_or(FIRST_PLAN);
                    let from = real(plan.from, to, TEMPO_STEP)?;
                    Some(TempoPlan { from, to: plan.to.max(from), ..plan })
                }
            }
        }
        "to" | "by" => {
            let plan = drill.tempo.as_mut().ok_or("Set a tempo first.")?;
            let (value, step) =
                if id == "to" { (&mut plan.to, TEMPO_STEP) } else { (&mut plan.by, 1.0) };
            *value = real(*value, to, step)?;
        }
        _ => return Err("No such setting.".to_owned()),
    }
    Ok(())
}

/// The error as a sentence about the field.
pub fn words(fault: &DrillError) -> String {
    let name = WHOLE.iter().find(|(id, _)| *id == fault.field).map(|(_, name)| *name);
    let name = name.unwrap_or(match fault.field {
        "name" => "The name",
        "goal" => "A drill's goals",
        "values" => "Note values",
        "places" => "Positions",
        "beats" | "share" => "The rest",
        field => field,
    });
    format!("{name} {}.", fault.what)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::catalogue::catalogue;

    fn shown(drill: &Drill, id: &str) -> String {
        settings(drill).into_iter().find(|setting| setting.id == id).unwrap().value
    }

    fn type_in(drill: &mut Drill, id: &str, text: &str) -> Result<(), String> {
        adjust(drill, id, &Adjustment::Typed(text.to_owned()))
    }

    #[test]
    fn shown_values_can_be_typed_and_steps_respect_limits() {
        for first in catalogue() {
            for climbs in [false, true] {
                let mut drill = first.clone();
                drill.tempo = climbs.then_some(FIRST_PLAN);
                for setting in settings(&drill) {
                    let mut same = drill.clone();
                    assert_eq!(
                        type_in(&mut same, &setting.id, &setting.typed),
                        Ok(()),
                        "{setting:?}"
                    );
                    assert_eq!(same, drill, "{setting:?}");
                    for to in [Adjustment::Less, Adjustment::More] {
                        let mut turned = drill.clone();
                        for _ in 0..500 {
                            if adjust(&mut turned, &setting.id, &to).is_err() {
                                break;
                            }
                            assert_eq!(turned.check(), Ok(()), "{setting:?}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn places_values_and_numbers_are_typed() {
        let mut drill = catalogue()[2].clone();
        type_in(&mut drill, "goal0", "1&, 3; 4&").unwrap();
        assert_eq!(drill.choruses, 2, "each list has a chorus of its own");
        assert_eq!(shown(&drill, "goal0"), "1&, 3; 4&");
        adjust(&mut drill, "choruses", &Adjustment::Less).unwrap_err();
        type_in(&mut drill, "pass", "75 %").unwrap();
        type_in(&mut drill, "bars", "32").unwrap();
        type_in(&mut drill, "first_bar", "9").unwrap();
        assert_eq!((drill.pass, drill.form.bars, drill.form.first_bar), (0.75, 32, Some(9)));
        type_in(&mut drill, "goal0", "1, 2, 3, 4, 1&, 2&, 3&, 4&").unwrap();
        assert_eq!(shown(&drill, "goal0"), "8 in total");
        let before = drill.clone();
        for (id, wrong) in [("goal0", "9x"), ("bars", "0"), ("bars", "many"), ("pass", "-")] {
            let message = type_in(&mut drill, id, wrong).unwrap_err();
            assert!(message.ends_with('.') && drill == before, "{message}");
        }
    }
}
