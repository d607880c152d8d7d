//! Scores the note tracker on rendered solos with known notes.

#![expect(clippy::print_stdout, reason = "a command")]

mod band;
mod beside;
mod bleed;
mod candidates;
mod floors;
mod hear;
mod instruments;
mod plan;
mod recordings;
mod render;
mod room;
mod score;
mod solos;
mod sum;
mod tones;
mod voice;

use beside::Beside;
use clap::Parser;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::transcription::{Instrument, TrackerSettings};
use overbar_files::load::on_all_cores;
use render::{Condition, RATE, Recording, Renderer};
use solos::{Note, Solo};
use std::collections::BTreeMap;
use std::path::PathBuf;
use sum::Sum;

/// Renders solos and scores what the note tracker hears in them: a line for each condition and instrument
#[derive(Parser)]
struct Options {
    /// A soundfont with the instruments of General MIDI; the published figures are with FluidR3 GM
    #[arg(long, value_name = "FILE", required_unless_present = "voice")]
    font: Option<PathBuf>,
    /// How many solos are invented, in turn for each instrument
    #[arg(long, value_name = "NUMBER", default_value_t = 14)]
    invented: usize,
    /// What they are invented from
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    seed: u64,
    /// A folder of labelled solos, which are rendered as well
    #[arg(long, value_name = "FOLDER")]
    solos: Option<PathBuf>,
    /// The first of them, from 0
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    from: usize,
    /// From one of them to the next
    #[arg(long, value_name = "NUMBER", default_value_t = 10)]
    every: usize,
    /// The band plays alone for so long before each solo
    #[arg(long, value_name = "SECONDS", default_value_t = 0.0)]
    intro: f64,
    /// The tracker is not told the instrument
    #[arg(long)]
    untold: bool,
    /// Keep recordings in this folder and take them from there
    #[arg(long, value_name = "FOLDER")]
    keep: Option<PathBuf>,
    /// Write what was judged into a CSV file, to fit the weights to
    #[arg(long, value_name = "FILE")]
    candidates: Option<PathBuf>,
    /// Score tracks of the band as well that tell nothing, or that are late, early or loud
    #[arg(long)]
    all_bands: bool,
    /// Fail where a figure over all instruments is worse than its floor
    #[arg(long)]
    floors: bool,
    /// Score the beats that are followed in a band along the labelled solos instead
    #[arg(long, requires = "solos")]
    band: bool,
    /// Score a voice that people have marked instead
    #[arg(long, value_name = "FOLDER")]
    voice: Option<PathBuf>,
}

fn main() -> Result<(), String> {
    let options = Options::parse();
    if let Some(folder) = &options.voice {
        voice::scored(folder)?.iter().for_each(|line| println!("{line}"));
        return Ok(());
    }
    let renderer = Renderer::open(options.font.as_deref().unwrap_or("".as_ref()))?;
    if let Some(folder) = options.solos.as_deref().filter(|_| options.band) {
        let Options { from, every, seed, floors, .. } = options;
        let keep = options.keep.as_deref();
        let bands = band::Bands { folder, from, every, seed, keep, floors };
        band::scored(&renderer, &bands)?.iter().for_each(|line| println!("{line}"));
        return Ok(());
    }
    let mut solos = Solo::invented(options.seed, options.invented)?;
    if let Some(folder) = &options.solos {
        solos.extend(Solo::labelled(folder, options.from, options.every)?);
    }
    if options.intro > 0.0 {
        solos = solos.into_iter().map(|solo| solo.after_intro(options.intro)).collect();
    }
    let all = |solo| Condition::ALL.map(|condition| (solo, condition));
    let recorded: Vec<(&Solo, Condition)> = solos.iter().flat_map(all).collect();
    let scored = on_all_cores(&recorded, |(solo, condition)| {
        let folder = options.keep.as_deref();
        let recording = recordings::recording(&renderer, solo, *condition, folder)?;
        let each = Beside::of(*condition, options.all_bands).into_iter();
        let score = |beside| Ok((beside, score(solo, &recording, beside, options.untold)?));
        each.map(score).collect::<Result<Vec<_>, String>>()
    });
    let mut sums: BTreeMap<(String, &str), Sum> = BTreeMap::new();
    let named = |condition: Condition, beside: Beside| condition.name() + &beside.name();
    let mut judged = String::new();
    for ((solo, condition), scored) in recorded.iter().zip(scored) {
        for (beside, (sum, lines)) in scored? {
            for name in [solo.played.name, "all"] {
                sums.entry((named(*condition, beside), name)).or_default().add(&sum);
            }
            // Weights are fitted without a band's track.
            for line in lines.into_iter().filter(|_| beside == Beside::Nothing) {
                judged += &format!("{},{},{line}\n", condition.name(), solo.played.name);
            }
        }
    }
    if let Some(path) = &options.candidates {
        judged += &plain_tones(options.seed)?;
        std::fs::write(path, judged).map_err(|why| format!("{}: {why}", path.display()))?;
    }
    for ((condition, name), sum) in &sums {
        println!("{}", sum.line(&format!("{condition}, {name}")));
    }
    let besides = |condition: &Condition| {
        let condition = *condition;
        Beside::of(condition, false).into_iter().map(move |beside| (condition, beside))
    };
    let missed: Vec<String> = Condition::ALL
        .iter()
        .filter(|_| options.floors)
        .flat_map(besides)
        .filter_map(|(condition, beside)| {
            let sum = sums.get(&(named(condition, beside), "all"))?;
            Some(floors::missed((condition, beside), sum))
        })
        .flatten()
        .collect();
    if missed.is_empty() { Ok(()) } else { Err(missed.join("\n")) }
}

/// Lines of plain tones that are judged besides the solos: their number, and the tones in each. The short
/// ones are for first notes, when nothing is known of the player.
const PLAIN: [(u64, usize); 2] = [(48, 40), (400, 2)];

/// Judged candidates of plain tones.
fn plain_tones(seed: u64) -> Result<String, String> {
    let mut judged = String::new();
    let lines = PLAIN.iter().flat_map(|(lines, tones)| (0..*lines).map(move |line| (line, *tones)));
    for (number, count) in lines {
        let line = tones::line(seed * 1_000 + number, count);
        let heard = hear::hear(&line.samples, None, RATE, TrackerSettings::default())?;
        for one in candidates::lines(&line.notes, &heard) {
            judged += &format!("tones,none,{one}\n");
        }
    }
    Ok(judged)
}

/// Longer notes are long enough to have a reliable pitch, in seconds.
const LONG: f64 = 0.08;

/// The scores of a recording, and its judged candidates.
fn score(
    solo: &Solo,
    recording: &Recording,
    beside: Beside,
    untold: bool,
) -> Result<(Sum, Vec<String>), String> {
    let instrument = if untold { Instrument::Any } else { solo.played.instrument };
    let settings = TrackerSettings { instrument, tuning: None };
    let band = beside.track(recording);
    let heard = hear::hear(&recording.samples, band.as_deref(), RATE, settings)?;
    let played = &recording.notes;
    let mut sum = Sum {
        onsets: score::onsets(played, &heard.notes),
        notes: score::notes(played, &heard.notes),
        before: heard.notes.iter().filter(|note| note.on < solo.intro).count(),
        ..Sum::default()
    };
    for (a, b) in score::pairs(played, &heard.notes, |_, _| true) {
        sum.late.push(heard.notes[b].on - played[a].on);
        sum.known.push(heard.known(b) - played[a].on);
        if played[a].off - played[a].on > LONG {
            sum.long += 1;
            sum.gross += usize::from(!score::same_key(&played[a], &heard.notes[b]));
        }
    }
    if let (Some(truth), Some(ours)) = (solo.analysed(played), solo.analysed(&heard.notes)) {
        let labelled: Vec<Note> = solo.starts.iter().map(|start| played[*start]).collect();
        let (expected, found) = (starts(&truth), starts(&ours));
        sum.starts_played = score::onsets(&labelled, &expected);
        sum.starts_heard = score::onsets(&labelled, &found);
        for (a, b) in score::pairs(&expected, &found, |_, _| true) {
            let same = truth.phrases()[a].entry.class == ours.phrases()[b].entry.class;
            sum.phrases += 1;
            sum.same_class += usize::from(same);
        }
    }
    Ok((sum, candidates::lines(played, &heard)))
}

/// The first note of each phrase.
fn starts(take: &TakeAnalysis) -> Vec<Note> {
    let notes = take.take().soloist.notes();
    let first = take.phrases().iter().map(|phrase| &notes[phrase.first_note]);
    first
        .map(|note| Note { on: note.on.second.0, off: 0.0, key: note.key, velocity: 0, low: false })
        .collect()
}
