//! `progress`: a page for a teacher about a folder of students' files.
//!
//! The folder has an `index.csv` with the columns `student,date,tune,file`: one line a take, the date
//! as 2025-03-04, the file's path relative to the folder. Drills may be in `drills.csv` with the
//! columns `student,date,tune,drill,met,due`.

use crate::outcome::{Outcome, say, warn};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::report::{Student, progress_report};
use overbar_core::stats::Share;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::advice::{Advice, advise_on, bars_to_listen_to};
use overbar_core::study::progress::day::Day;
use overbar_core::study::progress::periods::{DatedDrill, DatedTake, TakeFilter};
use overbar_core::study::progress::{Progress, progress};
use overbar_files::load::{LoadedFile, load};
use overbar_files::options::{self, Options};
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::path::Path;

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    write(arguments).into()
}

/// A student's take. Its notes give the bars to listen to.
struct StudentTake {
    row: DatedTake,
    analysis: TakeAnalysis,
}

/// Writes the page. Prints a line for each file that cannot be read.
fn write(arguments: &[OsString]) -> Result<Outcome, String> {
    let options = Options::parse(arguments, &["--report", "--on"])?;
    let needs = "progress needs a folder with index.csv, and --report OUT.html";
    let folder = options.one_path(needs, "one folder at a time")?;
    let report = options.report.as_ref().ok_or(needs)?;
    let day = |day: &String| Day::parse(day).ok_or(format!("{day}: no date like 2025-03-04"));
    let on = options.on.as_ref().map(day).transpose()?;
    let (takes, all_read) = takes(&folder)?;
    let drills = drills(&folder)?;
    let days = takes.iter().map(|take| take.row.day).chain(drills.iter().map(|row| row.day));
    // The last day of the index, so that the same folder always gives the same page.
    let Some(today) = on.or(days.max()) else {
        return Err(format!("{}: no takes", folder.display()));
    };
    let mut by_student: BTreeMap<&str, Vec<&StudentTake>> = BTreeMap::new();
    for take in &takes {
        by_student.entry(&take.row.player).or_default().push(take);
    }
    for row in &drills {
        by_student.entry(&row.player).or_default();
    }
    let rows: Vec<DatedTake> = takes.iter().map(|take| take.row.clone()).collect();
    let students: Vec<Student> = by_student
        .into_iter()
        .map(|(name, own)| {
            let choice = TakeFilter { player: Some(name), tune: None };
            student(name, &own, progress(&rows, &drills, choice, today))
        })
        .collect();
    let html = progress_report("Progress", today, &students);
    options::write(report, html)?;
    say(&format!("{}: {} students", report.display(), students.len()));
    Ok(if all_read { Outcome::Done } else { Outcome::WrongAndTold })
}

fn student(name: &str, own: &[&StudentTake], progress: Progress) -> Student {
    let today = progress.today;
    let past: Vec<&&StudentTake> = own.iter().filter(|one| one.row.day <= today).collect();
    let mut tunes: Vec<String> = past.iter().map(|one| one.row.tune.clone()).collect();
    tunes.sort_unstable();
    tunes.dedup();
    let (mut advice, advice_on) = advice(&progress);
    let last = past.iter().max_by_key(|one| one.row.day);
    if let Some(last) = last {
        for point in &mut advice.points {
            point.bars = bars_to_listen_to(point.rule, &last.analysis);
        }
    }
    let listen_in = last.map_or(String::new(), |one| format!("{}, {}", one.row.tune, one.row.day));
    Student { name: name.to_owned(), tunes, progress, advice, advice_on, listen_in }
}

/// Advice on this week's takes; with last month's, if this week's are too few.
fn advice(progress: &Progress) -> (Advice, String) {
    let this_week = advise_on(&progress.this_week);
    if !this_week.points.is_empty() || this_week.nothing_to_fix {
        return (this_week, "the takes of this week together".to_owned());
    }
    let mut all = progress.this_week.clone();
    all.absorb(&progress.last_month);
    (advise_on(&all), "the takes of this week and last month together".to_owned())
}

/// The takes of the index, and whether all could be read.
fn takes(folder: &Path) -> Result<(Vec<StudentTake>, bool), String> {
    let table = Table::read(&folder.join("index.csv"), &["student", "date", "tune", "file"])?;
    let mut takes = Vec::new();
    let mut all_read = true;
    for row in &table.rows {
        let [student, _, tune, file] = &row.fields[..] else { continue };
        let day = table.day(row)?;
        match load(&folder.join(file), &Options::default()) {
            Ok(LoadedFile { analysis, .. }) => {
                let measures = Measures::of(&analysis);
                let row = DatedTake { day, player: student.clone(), tune: tune.clone(), measures };
                takes.push(StudentTake { row, analysis });
            }
            Err(what) => {
                warn(&format!("{} line {}: {what}", table.name, row.line));
                all_read = false;
            }
        }
    }
    Ok((takes, all_read))
}

fn drills(folder: &Path) -> Result<Vec<DatedDrill>, String> {
    let path = folder.join("drills.csv");
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
