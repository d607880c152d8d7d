//! Drill files, in TOML:
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
//! `beats` or `share`. Only `version`, `name` and one goal are required. Unknown fields and versions are
//! errors.

mod goal;

use super::built_in::PASS;
use super::definition::{Drill, DrillError, DrillForm, TempoPlan};
use core::fmt;
use goal::GoalBody;
use serde::{Deserialize, Serialize};
use toml::Spanned;

const VERSION: u32 = 1;

/// Why a drill file is invalid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileError {
    /// The line, from 1.
    pub line: usize,
    /// The field; empty if the line has none.
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

/// Only the version: files of another one may have any other fields.
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
    #[serde(default)]
    form: DrillForm,
    #[serde(skip_serializing_if = "Option::is_none")]
    tempo: Option<TempoPlan>,
    #[serde(default)]
    goal: Vec<Spanned<GoalBody>>,
}

/// Reads a drill from the text of a file.
///
/// # Errors
/// [`FileError`] with the line and the field.
pub fn read(text: &str) -> Result<Drill, FileError> {
    let source = Source(text);
    let head: Head = toml::from_str(text).map_err(|error| source.syntax(&error))?;
    match head.version {
        None => return Err(source.at(0, "version", "is missing".to_owned())),
        Some(version) if *version.get_ref() != VERSION => {
            let what = match *version.get_ref() {
                newer if newer > VERSION => "made with a newer version of Overbar".to_owned(),
                _ => format!("must be {VERSION}"),
            };
            return Err(source.at(version.span().start, "version", what));
        }
        Some(_) => {}
    }
    let body: Body = toml::from_str(text).map_err(|error| source.syntax(&error))?;
    let spans: Vec<usize> = body.goal.iter().map(|goal| goal.span().start).collect();
    let mut goals = Vec::new();
    for (goal, start) in body.goal.iter().zip(&spans) {
        goals.push(goal.get_ref().goal().map_err(|error| source.locate(&error, *start))?);
    }
    let drill = Drill {
        name: body.name,
        goals,
        form: body.form,
        choruses: body.choruses.unwrap_or(1),
        tempo: body.tempo,
        pass: body.pass.unwrap_or(PASS),
    };
    drill.check().map_err(|error| {
        let goal = error.goal.and_then(|goal| spans.get(goal)).copied().unwrap_or(0);
        source.locate(&error, goal)
    })?;
    Ok(drill)
}

/// Writes a drill as the text of a file.
///
/// # Errors
/// [`DrillError`] if the drill is invalid.
pub fn write(drill: &Drill) -> Result<String, DrillError> {
    drill.check()?;
    let body = Body {
        version: VERSION,
        name: drill.name.clone(),
        choruses: Some(drill.choruses),
        pass: Some(drill.pass),
        form: drill.form,
        tempo: drill.tempo,
        goal: drill.goals.iter().map(|goal| Spanned::new(0..0, GoalBody::of(goal))).collect(),
    };
    let unwritten = |error: toml::ser::Error| DrillError {
        goal: None,
        field: "name",
        what: format!("can't be written: {error}"),
    };
    toml::to_string(&body).map_err(unwritten)
}

/// The text, to find lines and fields.
struct Source<'a>(&'a str);

impl Source<'_> {
    fn at(&self, offset: usize, field: &str, what: String) -> FileError {
        let before = self.0.get(..offset).unwrap_or(self.0);
        let line = before.matches('\n').count() + 1;
        FileError { line, field: field.to_owned(), what }
    }

    /// Finds the line of the field at or after `from`; without the field it is the line of `from`.
    fn locate(&self, error: &DrillError, from: usize) -> FileError {
        let rest = self.0.get(from..).unwrap_or_default();
        let mut offset = from;
        for line in rest.split_inclusive('\n') {
            let key = line.split('=').next().unwrap_or_default().trim();
            if line.contains('=') && key == error.field {
                return self.at(offset, error.field, error.what.clone());
            }
            offset += line.len();
        }
        self.at(from, error.field, error.what.clone())
    }

    /// An error of the parser, with the key of its line as the field.
    fn syntax(&self, error: &toml::de::Error) -> FileError {
        let offset = error.span().map_or(0, |span| span.start).min(self.0.len());
        let start = self.0.get(..offset).and_then(|before| before.rfind('\n'));
        let line = self.0.get(start.map_or(0, |at| at + 1)..).and_then(|rest| rest.lines().next());
        let key = line.and_then(|line| Some(line.split_once('=')?.0.trim())).unwrap_or_default();
        let is_key = key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
        let message = error.message().trim().replace('\n', "; ");
        self.at(offset, if is_key { key } else { "" }, message)
    }
}
