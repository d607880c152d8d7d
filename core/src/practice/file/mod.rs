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

mod goal;

use super::built_in::{FORM, PASS};
use super::definition::{Drill, Fault, Form, TempoPlan};
use core::fmt;
use goal::GoalBody;
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
