//! A goal in a drill file: a table whose `kind` decides its other fields.

use crate::practice::bar_position::BarPosition;
use crate::practice::definition::{Breath, DrillError, Exit, Goal, NoteValue};
use serde::{Deserialize, Serialize};

/// The fields of all kinds.
#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GoalBody {
    kind: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    values: Option<Vec<String>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    places: Option<Vec<Vec<String>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    end: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bars: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    beats: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    share: Option<f64>,
}

impl GoalBody {
    /// The table of a goal.
    pub fn of(goal: &Goal) -> Self {
        let kind = |kind: &str| Self { kind: kind.to_owned(), ..Self::default() };
        match goal {
            Goal::UnbrokenLine(values) => {
                let values = values.iter().map(|value| value.name().to_owned()).collect();
                Self { values: Some(values), ..kind("unbroken line") }
            }
            Goal::StartPosition(lists) => {
                let names =
                    |list: &Vec<BarPosition>| list.iter().map(BarPosition::to_string).collect();
                let places = lists.iter().map(names).collect();
                Self { places: Some(places), ..kind("entry place") }
            }
            Goal::EndingPosition(exit) => {
                Self { end: Some(exit.name().to_owned()), ..kind("exit place") }
            }
            Goal::LongLine(bars) => Self { bars: Some(*bars), ..kind("long line") },
            Goal::BreathingRoom(Breath::Beats(beats)) => {
                Self { beats: Some(*beats), ..kind("breathing room") }
            }
            Goal::BreathingRoom(Breath::Share(share)) => {
                Self { share: Some(*share), ..kind("breathing room") }
            }
        }
    }

    /// The goal of the table.
    pub fn goal(&self) -> Result<Goal, DrillError> {
        let error = |field, what: String| DrillError { goal: None, field, what };
        let missing = |field| error(field, format!("is missing for \"{}\"", self.kind));
        let known: &[&str] = match self.kind.as_str() {
            "unbroken line" => &["values"],
            "entry place" => &["places"],
            "exit place" => &["end"],
            "long line" => &["bars"],
            "breathing room" => &["beats", "share"],
            _ => {
                let kinds = "unbroken line, entry place, exit place, long line, breathing room";
                let what = format!("must be one of {kinds}, not \"{}\"", self.kind);
                return Err(error("kind", what));
            }
        };
        let given = [
            ("values", self.values.is_some()),
            ("places", self.places.is_some()),
            ("end", self.end.is_some()),
            ("bars", self.bars.is_some()),
            ("beats", self.beats.is_some()),
            ("share", self.share.is_some()),
        ];
        if let Some((field, _)) = given.iter().find(|(name, is)| *is && !known.contains(name)) {
            return Err(error(field, format!("does not belong to \"{}\"", self.kind)));
        }
        match (known, &self.values, &self.places, &self.end) {
            (["values"], Some(names), ..) => {
                let value = |name: &String| {
                    let names = NoteValue::ALL.map(NoteValue::name).join(", ");
                    let what = format!("must be of {names}, not \"{name}\"");
                    NoteValue::named(name).ok_or_else(|| error("values", what))
                };
                Ok(Goal::UnbrokenLine(names.iter().map(value).collect::<Result<_, _>>()?))
            }
            (["places"], _, Some(lists), _) => {
                let position =
                    |name: &String| name.parse().map_err(|what: String| error("places", what));
                let list = |list: &Vec<String>| list.iter().map(position).collect::<Result<_, _>>();
                Ok(Goal::StartPosition(lists.iter().map(list).collect::<Result<_, _>>()?))
            }
            (["end"], .., Some(end)) => {
                let what =
                    format!("must be \"off the beat\" or \"over the bar line\", not \"{end}\"");
                Exit::named(end).map(Goal::EndingPosition).ok_or_else(|| error("end", what))
            }
            (["bars"], ..) => self.bars.map(Goal::LongLine).ok_or_else(|| missing("bars")),
            (["beats", "share"], ..) => match (self.beats, self.share) {
                (Some(beats), None) => Ok(Goal::BreathingRoom(Breath::Beats(beats))),
                (None, Some(share)) => Ok(Goal::BreathingRoom(Breath::Share(share))),
                (None, None) => Err(missing("beats")),
                (Some(_), Some(_)) => {
                    Err(error("share", "can't be given together with beats".to_owned()))
                }
            },
            ([field, ..], ..) => Err(missing(field)),
            ([], ..) => Err(missing("kind")),
        }
    }
}
