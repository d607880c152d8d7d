//! The tables of a class: `index.csv` and `drills.csv`.
//!
//! `index.csv` has the columns `student,date,tune,file`, one line per take, with the file's path relative to
//! the folder; `drills.csv` has `student,date,tune,drill,met,due`.

use crate::args::AnalysisArgs;
use crate::inputs::{Input, Inputs};
use crate::terminal::warn;
use crate::work;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::stats::Share;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::progress::day::Day;
use overbar_core::study::progress::periods::{DatedDrill, DatedTake};
use overbar_files::load::LoadedFile;
use std::path::{Path, PathBuf};

/// The table of takes.
pub(crate) const INDEX: &str = "index.csv";
/// The table of drill results.
pub(crate) const DRILLS: &str = "drills.csv";

/// A student's take. Its notes give the bars to listen to.
pub(crate) struct StudentTake {
    pub row: DatedTake,
    pub analysis: TakeAnalysis,
    /// Its file.
    pub path: PathBuf,
}

/// The takes of the index, other files that were read, and whether all could be read.
///
/// # Errors
/// What is wrong with the index, or with the beat files of its takes.
pub(crate) fn takes(
    folder: &Path,
    analysis: &AnalysisArgs,
) -> Result<(Vec<StudentTake>, Vec<PathBuf>, bool), String> {
    let table = Table::read(&folder.join(INDEX), &["student", "date", "tune", "file"])?;
    let dated = table.rows.iter().map(|row| Ok((row, table.day(row)?)));
    let dated = dated.collect::<Result<Vec<(&CsvRow, Day)>, String>>()?;
    let mut takes = Vec::new();
    let mut all_read = true;
    let files = dated.iter().map(|(row, _)| folder.join(row.fields.last().map_or("", |file| file)));
    let mut inputs = Inputs::of_table(files);
    analysis.pair(&mut inputs)?;
    let options = analysis.load_options(&inputs)?;
    let rows: Vec<_> = dated.iter().zip(&inputs.files).collect();
    let take = |((row, day), input): &(&(&CsvRow, Day), &Input)| {
        let [student, _, tune, _] = &row.fields[..] else { return Err(String::new()) };
        let path = input.path.clone();
        let LoadedFile { analysis, .. } = input
            .load(&options)
            .map_err(|what| format!("{} line {}: {what}", table.name, row.line))?;
        let measures = Measures::of(&analysis);
        let row = DatedTake { day: *day, player: student.clone(), tune: tune.clone(), measures };
        Ok(StudentTake { row, analysis, path })
    };
    work::each("analysing", &rows, take, |result| match result {
        Ok(take) => takes.push(take),
        Err(what) => {
            warn(&what);
            all_read = false;
        }
    });
    Ok((takes, analysis.files(&inputs), all_read))
}

/// The results of drills, if there is a table of them.
///
/// # Errors
/// What is wrong with it.
pub(crate) fn drills(folder: &Path) -> Result<Vec<DatedDrill>, String> {
    let path = folder.join(DRILLS);
    if !path.exists() {
        return Ok(Vec::new());
    }
    let table = Table::read(&path, &["student", "date", "tune", "drill", "met", "due"])?;
    let mut drills = Vec::new();
    for row in &table.rows {
        let [student, _, tune, drill, met, due] = &row.fields[..] else { continue };
        let number = |text: &str, column: &str| {
            let wrong = || {
                format!("{} line {}, {column}: \"{text}\" is not a number", table.name, row.line)
            };
            text.parse::<u32>().map_err(|_| wrong())
        };
        let (count, of) = (number(met, "met")?, number(due, "due")?);
        if count > of {
            let line = row.line;
            return Err(format!("{} line {line}: {count} met of {of} due", table.name));
        }
        drills.push(DatedDrill {
            day: table.day(row)?,
            player: student.clone(),
            tune: tune.clone(),
            drill: drill.clone(),
            result: Share { count, of },
        });
    }
    Ok(drills)
}

/// A CSV file with known columns.
struct Table {
    name: String,
    rows: Vec<CsvRow>,
}

struct CsvRow {
    line: u64,
    fields: Vec<String>,
}

impl Table {
    /// Reads a file. Columns may be in any order, and others are ignored.
    ///
    /// # Errors
    /// A message that names the file, the line and the column.
    fn read(path: &Path, columns: &[&str]) -> Result<Self, String> {
        let name = path.display().to_string();
        let text = std::fs::read_to_string(path).map_err(|error| format!("{name}: {error}"))?;
        let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
        let headers = reader.headers().map_err(|error| format!("{name}: {error}"))?;
        let find = |column: &&str| {
            let at = headers.iter().position(|header| header.eq_ignore_ascii_case(column));
            at.ok_or_else(|| format!("{name}: no column \"{column}\""))
        };
        let places = columns.iter().map(find).collect::<Result<Vec<usize>, String>>()?;
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|error| format!("{name}: {error}"))?;
            let line = record.position().map_or(0, csv::Position::line);
            let field = |at: &usize| record.get(*at).unwrap_or_default().to_owned();
            let fields: Vec<String> = places.iter().map(field).collect();
            if fields[0].is_empty() {
                return Err(format!("{name} line {line}, {}: it is empty", columns[0]));
            }
            rows.push(CsvRow { line, fields });
        }
        Ok(Self { name, rows })
    }

    /// The date of a row, which is its second column.
    fn day(&self, row: &CsvRow) -> Result<Day, String> {
        let text = &row.fields[1];
        Day::parse(text).ok_or_else(|| {
            format!(
                "{} line {}, date: \"{text}\" is not a date like 2025-03-04",
                self.name, row.line
            )
        })
    }
}
