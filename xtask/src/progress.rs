//! `progress`: a page for a teacher about a folder of students' files.
//!
//! The folder holds `index.csv` with the columns `student,date,tune,file`: a line a take, the date
//! as 2025-03-04, the file's path from the folder. Drills can stand in `drills.csv` with the columns
//! `student,date,tune,drill,met,due`.

use crate::harmony::hear;
use crate::outcome::{Outcome, say, warn};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::report::{Student, progress_report};
use overbar_core::settings::Settings;
use overbar_core::stats::Share;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::advice::{Advice, advise_on, bars_to_listen_to};
use overbar_core::study::progress::day::Day;
use overbar_core::study::progress::periods::{Choice, DrillRow, TakeRow};
use overbar_core::study::progress::{Progress, progress};
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::path::{Path, PathBuf};

struct Request {
    folder: PathBuf,
    report: PathBuf,
    on: Option<Day>,
}

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    match parse(arguments).and_then(|request| write(&request)) {
        Ok(0) => Outcome::Done,
        Ok(_) => Outcome::WrongAndTold,
        Err(what) => Outcome::Wrong(what),
    }
}

fn parse(arguments: &[OsString]) -> Result<Request, String> {
    let (mut folder, mut report, mut on) = (None, None, None);
    let mut rest = arguments.iter();
    while let Some(argument) = rest.next() {
        let text = argument.to_string_lossy();
        match text.as_ref() {
            "--report" => report = Some(rest.next().ok_or("--report needs a file")?.into()),
            "--on" => {
                let day = rest.next().ok_or("--on needs a date")?.to_string_lossy();
                on = Some(Day::parse(&day).ok_or(format!("{day}: no date like 2025-03-04"))?);
            }
            flag if flag.starts_with('-') => return Err(format!("{flag}: no such option")),
            _ if folder.is_some() => return Err(format!("{text}: one folder at a time")),
            _ => folder = Some(PathBuf::from(argument)),
        }
    }
    let needs = "progress needs a folder with index.csv, and --report OUT.html";
    Ok(Request { folder: folder.ok_or(needs)?, report: report.ok_or(needs)?, on })
}

/// A take with its notes, for the bars to listen to.
struct Heard {
    row: TakeRow,
    analysis: TakeAnalysis,
}

/// Writes the page; how many files could not be heard.
fn write(request: &Request) -> Result<usize, String> {
    let (heard, wrong) = takes(&request.folder)?;
    let drills = drills(&request.folder)?;
    let days = heard.iter().map(|h| h.row.day).chain(drills.iter().map(|row| row.day));
    // The last day of the index, so that the same folder always gives the same page.
    let Some(today) = request.on.or(days.max()) else {
        return Err(format!("{}: there are no takes to tell of", request.folder.display()));
    };
    let mut by_student: BTreeMap<&str, Vec<&Heard>> = BTreeMap::new();
    for one in &heard {
        by_student.entry(&one.row.player).or_default().push(one);
    }
    for row in &drills {
        by_student.entry(&row.player).or_default();
    }
    let rows: Vec<TakeRow> = heard.iter().map(|h| h.row.clone()).collect();
    let students: Vec<Student> = by_student
        .into_iter()
        .map(|(name, own)| {
            let choice = Choice { player: Some(name), tune: None };
            student(name, &own, progress(&rows, &drills, choice, today))
        })
        .collect();
    let html = progress_report("Progress", today, &students);
    std::fs::write(&request.report, html)
        .map_err(|error| format!("{}: {error}", request.report.display()))?;
    say(&format!("{}: {} students", request.report.display(), students.len()));
    Ok(wrong)
}

fn student(name: &str, own: &[&Heard], progress: Progress) -> Student {
    let today = progress.today;
    let past: Vec<&&Heard> = own.iter().filter(|one| one.row.day <= today).collect();
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

/// On this week's takes or, where they are too few to say anything, on last month's too.
fn advice(progress: &Progress) -> (Advice, String) {
    let this_week = advise_on(&progress.this_week);
    if !this_week.points.is_empty() || this_week.nothing_to_fix {
        return (this_week, "the takes of this week together".to_owned());
    }
    let mut all = progress.this_week.clone();
    all.absorb(&progress.last_month);
    (advise_on(&all), "the takes of this week and last month together".to_owned())
}

/// The takes of the index, and how many files could not be heard, which is told.
fn takes(folder: &Path) -> Result<(Vec<Heard>, usize), String> {
    let table = Table::read(&folder.join("index.csv"), &["student", "date", "tune", "file"])?;
    let mut heard = Vec::new();
    let mut wrong = 0;
    for row in &table.rows {
        let [student, _, tune, file] = &row.fields[..] else { continue };
        let day = table.day(row)?;
        match hear(&folder.join(file)) {
            Ok(take) => {
                let analysis = TakeAnalysis::of(take, Settings::default());
                let measures = Measures::of(&analysis);
                let row = TakeRow { day, player: student.clone(), tune: tune.clone(), measures };
                heard.push(Heard { row, analysis });
            }
            Err(what) => {
                warn(&format!("{} line {}: {what}", table.name, row.line));
                wrong += 1;
            }
        }
    }
    Ok((heard, wrong))
}

fn drills(folder: &Path) -> Result<Vec<DrillRow>, String> {
    let path = folder.join("drills.csv");
    if !path.exists() {
        return Ok(Vec::new());
    }
    let table = Table::read(&path, &["student", "date", "tune", "drill", "met", "due"])?;
    let mut drills = Vec::new();
    for row in &table.rows {
        let [student, _, tune, drill, met, due] = &row.fields[..] else { continue };
        let number = |text: &str, column: &str| {
            let wrong =
                || format!("{} line {}, {column}: \"{text}\" is no number", table.name, row.line);
            text.parse::<u32>().map_err(|_| wrong())
        };
        let (count, of) = (number(met, "met")?, number(due, "due")?);
        if count > of {
            let line = row.line;
            return Err(format!("{} line {line}: {count} met of {of} due", table.name));
        }
        drills.push(DrillRow {
            day: table.day(row)?,
            player: student.clone(),
            tune: tune.clone(),
            drill: drill.clone(),
            result: Share { count, of },
        });
    }
    Ok(drills)
}

/// A CSV file whose columns are known.
struct Table {
    name: String,
    rows: Vec<Row>,
}

struct Row {
    line: u64,
    fields: Vec<String>,
}

impl Table {
    /// Reads a file, whose columns may stand in any order and be more than these.
    ///
    /// # Errors
    /// A line that names the file, the line and the column.
    fn read(path: &Path, columns: &[&str]) -> Result<Self, String> {
        let name = path.display().to_string();
        let text = std::fs::read_to_string(path).map_err(|error| format!("{name}: {error}"))?;
        let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
        let headers = reader.headers().map_err(|error| format!("{name}: {error}"))?;
        let find = |column: &&str| {
            let at = headers.iter().position(|header| header.eq_ignore_ascii_case(column));
            at.ok_or_else(|| format!("{name}: there is no column \"{column}\""))
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
            rows.push(Row { line, fields });
        }
        Ok(Self { name, rows })
    }

    /// The date of a row, which stands in the second column.
    fn day(&self, row: &Row) -> Result<Day, String> {
        let text = &row.fields[1];
        Day::parse(text).ok_or_else(|| {
            format!("{} line {}, date: \"{text}\" is no date like 2025-03-04", self.name, row.line)
        })
    }
}
