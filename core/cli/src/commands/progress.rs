//! `progress`: students over days and weeks, from a folder of their takes.

use super::class_tables::{DRILLS, INDEX, StudentTake, drills, takes};
use crate::args::{AnalysisArgs, ForceArg, JsonArg};
use crate::json;
use crate::outcome::Outcome;
use crate::terminal::{columns, say};
use crate::work;
use clap::Args;
use overbar_core::output::report::{Student, progress_report};
use overbar_core::study::advice::{Advice, advise_on, bars_to_listen_to};
use overbar_core::study::progress::day::Day;
use overbar_core::study::progress::periods::{DatedTake, TakeFilter};
use overbar_core::study::progress::{Progress, progress};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Show how students get on over days and weeks, and what each can work on
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar progress class/
  overbar progress class/ --report progress.html
  overbar progress class/ --on 2026-03-04 --json
  overbar progress class/ --anchors grids/

The folder holds index.csv with the columns student,date,tune,file (dates like 2026-03-04), and may
hold drills.csv with student,date,tune,drill,met,due.")]
pub(crate) struct ProgressArgs {
    /// The folder
    folder: PathBuf,
    /// Write a page, with a section for each student
    #[arg(short, long, value_name = "PAGE")]
    report: Option<PathBuf>,
    /// The day to report on [default: the last one of the index]
    #[arg(long, value_name = "DATE", value_parser = day)]
    on: Option<Day>,
    #[command(flatten)]
    json: JsonArg,
    #[command(flatten)]
    force: ForceArg,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

/// A student as JSON.
#[derive(Serialize)]
struct StudentJson<'a> {
    student: &'a str,
    tunes: &'a [String],
    progress: &'a Progress,
    advice: &'a Advice,
    /// What the advice is based on.
    advice_on: &'a str,
}

/// Runs the command. Prints a line for each file that cannot be read.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &ProgressArgs) -> Result<Outcome, String> {
    let (takes, beside, all_read) = takes(&args.folder, &args.analysis)?;
    let drills = drills(&args.folder)?;
    if work::is_interrupted() {
        return Ok(Outcome::Interrupted);
    }
    let tables = [INDEX, DRILLS].map(|name| args.folder.join(name));
    let sources = takes.iter().map(|take| take.path.clone()).chain(tables).chain(beside).collect();
    let output = args.force.output(sources);
    output.check(args.report.as_deref())?;
    let days = takes.iter().map(|take| take.row.day).chain(drills.iter().map(|row| row.day));
    // The last day of the index, so that the same folder always gives the same page.
    let Some(today) = args.on.or(days.max()) else {
        return Err(format!("{}: no takes", args.folder.display()));
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
    if args.json.json {
        students.iter().try_for_each(|student| json::print(&StudentJson::of(student)))?;
    }
    if let Some(report) = &args.report {
        output.write(report, progress_report("Progress", today, &students))?;
    }
    if !args.json.json {
        match &args.report {
            Some(report) => say(&format!("{}: {} students", report.display(), students.len())),
            None => table(&students).iter().for_each(|line| say(line)),
        }
    }
    Ok(if all_read { Outcome::Done } else { Outcome::WrongAndReported })
}

impl<'a> StudentJson<'a> {
    fn of(student: &'a Student) -> Self {
        let Student { name, tunes, progress, advice, advice_on, .. } = student;
        Self { student: name, tunes, progress, advice, advice_on }
    }
}

/// A line per student: how much was played, and what to work on first.
fn table(students: &[Student]) -> Vec<String> {
    let mut rows = vec![["student", "takes", "days", "work on"].map(str::to_owned).to_vec()];
    for student in students {
        let point = student.advice.points.first();
        let point =
            point.map_or_else(|| "nothing stands out".to_owned(), |point| point.heard.to_owned());
        let Progress { takes, days, .. } = &student.progress;
        rows.push(vec![student.name.clone(), takes.to_string(), days.days.to_string(), point]);
    }
    let mut lines = columns(&rows);
    for Student { name, progress: Progress { takes, approximate_takes: about, .. }, .. } in students
    {
        if *about > 0 {
            lines.push(format!("{name}: beats are approximate in {about} of {takes} takes"));
        }
    }
    lines
}

fn day(text: &str) -> Result<Day, String> {
    Day::parse(text).ok_or_else(|| "not a date like 2026-03-04".to_owned())
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

/// Advice on this week's takes, with last month's if this week's are too few.
fn advice(progress: &Progress) -> (Advice, String) {
    let this_week = advise_on(&progress.this_week);
    if !this_week.points.is_empty() || this_week.nothing_to_fix {
        return (this_week, "the takes of this week together".to_owned());
    }
    let mut all = progress.this_week.clone();
    all.absorb(&progress.last_month);
    (advise_on(&all), "the takes of this week and last month together".to_owned())
}
