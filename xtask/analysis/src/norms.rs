//! `norms`: for a folder of recorded solos, the percentiles of each measure that advice uses, and how often
//! each rule applies.

use overbar_cli::{Outcome, say};
use overbar_core::study::advice::advise_on;
use overbar_core::study::advice::measure::Measure;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::advice::norm::norm;
use overbar_core::study::advice::rules::{MIN_NOTES, MIN_PHRASES, RULES, Verdict};
use overbar_core::take::performance::Performance;
use overbar_files::load::{LoadOptions, list, load};
use std::ffi::OsString;
use std::path::Path;

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    let [path] = arguments else {
        return Outcome::Wrong("norms needs a folder of recorded solos".to_owned());
    };
    folder(Path::new(path)).map(|text| say(text.trim_end())).into()
}

/// The measures of a recorded solo.
struct Measured {
    measures: Measures,
    tempo: f64,
}

fn folder(path: &Path) -> Result<String, String> {
    let (files, wrong) = list(path)?;
    if let Some(what) = wrong.first() {
        return Err(what.clone());
    }
    if files.is_empty() {
        return Err(format!("{}: no MIDI files", path.display()));
    }
    let mut solos = Vec::new();
    for file in files {
        let analysis = load(&file, &LoadOptions::default())?.analysis;
        let tempo = mean_tempo(analysis.take());
        solos.push(Measured { measures: Measures::of(&analysis), tempo });
    }
    Ok(percentiles(&solos) + &usual_lag(&solos) + &rates(&solos))
}

fn mean_tempo(take: &Performance) -> f64 {
    let notes = take.soloist.notes();
    let (Some(first), Some(last)) = (notes.first(), notes.last()) else { return 0.0 };
    60.0 * (last.on.beat - first.on.beat).0 / (last.on.second - first.on.second).0.max(1e-9)
}

/// The percentiles that the norms are based on.
fn percentiles(solos: &[Measured]) -> String {
    let mut text = format!("{:44} solos    10 %    25 %    50 %    75 %    90 %\n", "measure");
    for measure in Measure::ALL {
        let least = match measure {
            Measure::UnevenEighths | Measure::Lag => MIN_NOTES,
            _ => MIN_PHRASES,
        };
        let in_four = solos.iter().map(|solo| &solo.measures).filter(|m| !m.other_metre);
        let enough = in_four.filter(|m| m.count_of(measure) >= least);
        let mut values: Vec<f64> = enough.filter_map(|m| m.value(measure)).collect();
        values.sort_unstable_by(f64::total_cmp);
        text += &format!("{:44} {:5}", format!("{measure:?}"), values.len());
        for part in [0.10, 0.25, 0.50, 0.75, 0.90] {
            text += &format!(" {:7.3}", quantile(&values, part));
        }
        let norm = norm(measure);
        let [low, lower, median, upper, high] =
            [norm.low, norm.lower, norm.median, norm.upper, norm.high];
        text += &format!("   norm {low:.3} {lower:.3} {median:.3} {upper:.3} {high:.3}\n");
    }
    text
}

/// Linear between order statistics (Hyndman and Fan 1996, type 7); 0 for an empty sample.
fn quantile(sorted: &[f64], part: f64) -> f64 {
    let Some(steps) = sorted.len().checked_sub(1) else { return 0.0 };
    let at = part * steps as f64;
    let below = at.floor() as usize;
    let (a, b) = (sorted[below], sorted[(below + 1).min(steps)]);
    a + (b - a) * (at - at.floor())
}

/// Least-squares fit of mean lag against mean tempo.
fn usual_lag(solos: &[Measured]) -> String {
    let points: Vec<(f64, f64)> = solos
        .iter()
        .filter(|solo| solo.measures.lag_ms.count() >= MIN_NOTES)
        .filter_map(|solo| Some((solo.tempo, solo.measures.lag_ms.mean()?)))
        .collect();
    let count = points.len().max(1) as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let (mut xy, mut xx) = (0.0, 0.0);
    for (tempo, lag) in &points {
        xy += (tempo - x) * (lag - y);
        xx += (tempo - x) * (tempo - x);
    }
    let slope = if xx > 0.0 { xy / xx } else { 0.0 };
    format!("usual lag in ms: {:.2} {slope:+.4} x BPM\n", y - slope * x)
}

/// How often each rule applies, and how often it is among the points shown.
fn rates(solos: &[Measured]) -> String {
    let mut text =
        format!("{:20} {:>7} {:>7} {:>7} {:>7}\n", "rule", "speaks", "told", "well", "few");
    let advice: Vec<_> = solos.iter().map(|solo| advise_on(&solo.measures)).collect();
    let percent = |count: usize| 100.0 * count as f64 / solos.len() as f64;
    for rule in &RULES {
        let verdicts = |which: Verdict| {
            let heard = solos.iter().filter(|solo| !solo.measures.other_metre);
            heard.filter(|solo| rule.judge(&solo.measures) == which).count()
        };
        let shown = advice.iter().filter(|a| a.points.iter().any(|p| p.rule == rule.id)).count();
        text += &format!(
            "{:20} {:5.1} % {:5.1} % {:5.1} % {:5.1} %\n",
            format!("{:?}", rule.id),
            percent(verdicts(Verdict::Speaks)),
            percent(shown),
            percent(verdicts(Verdict::Well)),
            percent(verdicts(Verdict::TooFew)),
        );
    }
    let nothing = advice.iter().filter(|a| a.nothing_to_fix).count();
    let any = advice.iter().filter(|a| !a.points.is_empty()).count();
    let other = advice.iter().filter(|a| a.other_metre).count();
    text + &format!(
        "{} solos: at least one point {:.1} %, nothing to fix {:.1} %, other metres {:.1} %\n",
        solos.len(),
        percent(any),
        percent(nothing),
        percent(other)
    )
}
