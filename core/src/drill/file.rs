//! A player's own mix as a small text file, to keep and to share.
//!
//! TOML, with a version that is told first:
//!
//! ```toml
//! version = 1
//! name = "Late entries, long lines"
//! choruses = 2
//! pass = 0.8
//!
//! [form]
//! bars = 12
//! first_bar = 5
//! count_in = 1
//!
//! [tempo]
//! from = 120
//! to = 160
//! by = 8
//!
//! [[goal]]
//! kind = "entry place"
//! places = [["4&"], ["1&", "3&"]]
//!
//! [[goal]]
//! kind = "long line"
//! bars = 4
//! ```
//!
//! The other kinds: `unbroken line` with `values`, `exit place` with `end`, `breathing room` with
//! `beats` or `share`. Only `version`, `name` and one goal have to be there. A field or a version
//! that is not known is refused, not guessed.

use super::breath::Breath;
use super::built_in::{FORM, PASS};
use super::definition::{Drill, Exit, Fault, Form, Goal, NoteValue, TempoPlan};
use super::spot::Spot;
use core::fmt;
use serde::{Deserialize, Serialize};
use toml::Spanned;

/// The version this reads and writes.
const VERSION: u32 = 1;

/// Why a file is no drill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileError {
    /// The line, from 1.
    pub line: usize,
    /// The field; empty where the line is none.
    pub field: String,
    /// What is wrong with it.
    pub what: String,
}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.field.as_str() {
            "" => write!(f, "line {}: {}", self.line, self.what),
            field => write!(f, "line {}, {field}: {}", self.line, self.what),
        }
    }
}

impl core::error::Error for FileError {}

/// The version alone: a file of another one may have any other fields.
#[derive(Deserialize)]
struct Head {
    version: Option<Spanned<u32>>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Body {
    version: u32,
    name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    choruses: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pass: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    form: Option<FormBody>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tempo: Option<TempoBody>,
    #[serde(default)]
    goal: Vec<Spanned<GoalBody>>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FormBody {
    #[serde(skip_serializing_if = "Option::is_none")]
    bars: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    first_bar: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    count_in: Option<u32>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TempoBody {
    from: f64,
    to: f64,
    by: f64,
}

#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct GoalBody {
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

/// Reads a drill from the text of a file.
///
/// # Errors
/// [`FileError`] names the line and the field.
pub fn read(text: &str) -> Result<Drill, FileError> {
    let source = Source(text);
    let head: Head = toml::from_str(text).map_err(|error| source.error(&error))?;
    match head.version {
        None => return Err(source.at(0, "version", "is missing".to_owned())),
        Some(version) if *version.get_ref() != VERSION => {
            let what = format!("is {}; this program reads {VERSION}", version.get_ref());
            return Err(source.at(version.span().start, "version", what));
        }
        Some(_) => {}
    }
    let body: Body = toml::from_str(text).map_err(|error| source.error(&error))?;
    let spans: Vec<usize> = body.goal.iter().map(|goal| goal.span().start).collect();
    let mut goals = Vec::new();
    for goal in &body.goal {
        let goal_at = goal.span().start;
        goals.push(goal.get_ref().goal().map_err(|fault| source.fault(&fault, goal_at))?);
    }
    let form = body.form.map_or(FORM, |form| Form {
        bars: form.bars.unwrap_or(FORM.bars),
        first_bar: form.first_bar,
        count_in: form.count_in.unwrap_or(FORM.count_in),
    });
    let drill = Drill {
        name: body.name,
        goals,
        form,
        choruses: body.choruses.unwrap_or(1),
        tempo: body.tempo.map(|t| TempoPlan { from: t.from, to: t.to, by: t.by }),
        pass: body.pass.unwrap_or(PASS),
    };
    drill.check().map_err(|fault| {
        let goal = fault.goal.and_then(|goal| spans.get(goal)).copied().unwrap_or(0);
        source.fault(&fault, goal)
    })?;
    Ok(drill)
}

/// Writes a drill as the text of a file.
///
/// # Errors
/// Why the drill can't be practised.
pub fn write(drill: &Drill) -> Result<String, Fault> {
    drill.check()?;
    let body = Body {
        version: VERSION,
        name: drill.name.clone(),
        choruses: Some(drill.choruses),
        pass: Some(drill.pass),
        form: Some(FormBody {
            bars: Some(drill.form.bars),
            first_bar: drill.form.first_bar,
            count_in: Some(drill.form.count_in),
        }),
        tempo: drill.tempo.map(|t| TempoBody { from: t.from, to: t.to, by: t.by }),
        goal: drill.goals.iter().map(|goal| Spanned::new(0..0, GoalBody::of(goal))).collect(),
    };
    let unwritten = |error: toml::ser::Error| Fault {
        goal: None,
        field: "name",
        what: format!("can't be written: {error}"),
    };
    toml::to_string(&body).map_err(unwritten)
}

impl GoalBody {
    fn of(goal: &Goal) -> Self {
        let kind = |kind: &str| Self { kind: kind.to_owned(), ..Self::default() };
        match goal {
            Goal::UnbrokenLine(values) => {
                let values = values.iter().map(|value| value.name().to_owned()).collect();
                Self { values: Some(values), ..kind("unbroken line") }
            }
            Goal::EntryPlace(lists) => {
                let names = |list: &Vec<Spot>| list.iter().map(Spot::to_string).collect();
                let places = lists.iter().map(names).collect();
                Self { places: Some(places), ..kind("entry place") }
            }
            Goal::ExitPlace(exit) => {
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

    fn goal(&self) -> Result<Goal, Fault> {
        let fault = |field, what: String| Fault { goal: None, field, what };
        let missing = |field| fault(field, format!("is missing for \"{}\"", self.kind));
        let known: &[&str] = match self.kind.as_str() {
            "unbroken line" => &["values"],
            "entry place" => &["places"],
            "exit place" => &["end"],
            "long line" => &["bars"],
            "breathing room" => &["beats", "share"],
            _ => {
                let kinds = "unbroken line, entry place, exit place, long line, breathing room";
                let what = format!("is \"{}\"; there are: {kinds}", self.kind);
                return Err(fault("kind", what));
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
            return Err(fault(field, format!("says nothing for \"{}\"", self.kind)));
        }
        match (known, &self.values, &self.places, &self.end) {
            (["values"], Some(names), ..) => {
                let value = |name: &String| {
                    let names = NoteValue::ALL.map(NoteValue::name).join(", ");
                    let what = format!("has \"{name}\"; there are: {names}");
                    NoteValue::named(name).ok_or_else(|| fault("values", what))
                };
                Ok(Goal::UnbrokenLine(names.iter().map(value).collect::<Result<_, _>>()?))
            }
            (["places"], _, Some(lists), _) => {
                let spot = |name: &String| {
                    name.parse().map_err(|what: String| fault("places", format!("has {what}")))
                };
                let list = |list: &Vec<String>| list.iter().map(spot).collect::<Result<_, _>>();
                Ok(Goal::EntryPlace(lists.iter().map(list).collect::<Result<_, _>>()?))
            }
            (["end"], .., Some(end)) => {
                let what = format!("is \"{end}\"; there are: off the beat, over the bar line");
                Exit::named(end).map(Goal::ExitPlace).ok_or_else(|| fault("end", what))
            }
            (["bars"], ..) => self.bars.map(Goal::LongLine).ok_or_else(|| missing("bars")),
            (["beats", "share"], ..) => match (self.beats, self.share) {
                (Some(beats), None) => Ok(Goal::BreathingRoom(Breath::Beats(beats))),
                (None, Some(share)) => Ok(Goal::BreathingRoom(Breath::Share(share))),
                (None, None) => Err(missing("beats")),
                (Some(_), Some(_)) => {
                    Err(fault("share", "stands beside beats; it is one or the other".to_owned()))
                }
            },
            ([field, ..], ..) => Err(missing(field)),
            ([], ..) => Err(missing("kind")),
        }
    }
}

/// The text, to tell lines and fields.
struct Source<'a>(&'a str);

impl Source<'_> {
    fn at(&self, offset: usize, field: &str, what: String) -> FileError {
        let before = self.0.get(..offset).unwrap_or(self.0);
        let line = before.matches('\n').count() + 1;
        FileError { line, field: field.to_owned(), what }
    }

    /// A fault of a field that stands at or behind `from`; where it is not there, that is the line.
    fn fault(&self, fault: &Fault, from: usize) -> FileError {
        let rest = self.0.get(from..).unwrap_or_default();
        let mut offset = from;
        for line in rest.split_inclusive('\n') {
            let key = line.split('=').next().unwrap_or_default().trim();
            if line.contains('=') && key == fault.field {
                return self.at(offset, fault.field, fault.what.clone());
            }
            offset += line.len();
        }
        self.at(from, fault.field, fault.what.clone())
    }

    /// What the reader says, with the key of its line as the field.
    fn error(&self, error: &toml::de::Error) -> FileError {
        let offset = error.span().map_or(0, |span| span.start).min(self.0.len());
        let start = self.0.get(..offset).and_then(|before| before.rfind('\n'));
        let line = self.0.get(start.map_or(0, |at| at + 1)..).and_then(|rest| rest.lines().next());
        let key = line.and_then(|line| Some(line.split_once('=')?.0.trim())).unwrap_or_default();
        let is_key = key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
        let message = error.message().trim().replace('\n', "; ");
        self.at(offset, if is_key { key } else { "" }, message)
    }
}
