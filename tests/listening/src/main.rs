//! Scores the note tracker on rendered solos whose notes are known.

#![expect(clippy::print_stdout, reason = "a command")]

mod hear;
mod instruments;
mod render;
mod score;
mod solos;

use clap::Parser;
use overbar_core::transcription::{Instrument, TrackerSettings};
use render::{Condition, RATE, Renderer};
use score::Tally;
use solos::Solo;
use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::PathBuf;

#[derive(Parser)]
struct Options {
    #[arg(long)]
    solos: Option<PathBuf>,
    #[arg(long, default_value_t = 0)]
    from: usize,
    #[arg(long, default_value_t = 10)]
    every: usize,
    #[arg(long, default_value_t = 14)]
    invented: usize,
    #[arg(long, default_value_t = 1)]
    seed: u64,
    #[arg(long)]
    auto: bool,
    #[arg(long, default_value = "/usr/share/sounds/sf2/FluidR3_GM.sf2")]
    font: PathBuf,
    #[arg(long)]
    voice: Option<PathBuf>,
    #[arg(long)]
    dump: Option<PathBuf>,
    /// Keeps recordings in this folder and takes them from there
    #[arg(long)]
    cache: Option<PathBuf>,
    #[arg(long, value_delimiter = ',', default_value = "0,1,2,3")]
    conditions: Vec<usize>,
}

#[derive(Default, Clone)]
struct Sum {
    onsets: Tally,
    notes: Tally,
    starts_true: Tally,
    starts_heard: Tally,
    classes: (usize, usize),
    errors: Vec<f64>,
    delays: Vec<f64>,
    off: BTreeMap<(i32, u8), usize>,
}

impl Sum {
    fn add(&mut self, other: &Sum) {
        self.onsets = self.onsets.plus(other.onsets);
        self.notes = self.notes.plus(other.notes);
        self.starts_true = self.starts_true.plus(other.starts_true);
        self.starts_heard = self.starts_heard.plus(other.starts_heard);
        self.classes.0 += other.classes.0;
        self.classes.1 += other.classes.1;
        self.errors.extend(&other.errors);
        self.delays.extend(&other.delays);
        for (k, v) in &other.off {
            *self.off.entry(*k).or_default() += v;
        }
    }
    fn line(&self, name: &str) -> String {
        let n = self.errors.len().max(1) as f64;
        let mean = self.errors.iter().sum::<f64>() / n;
        let sd = (self.errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / n).sqrt();
        let mut delays = self.delays.clone();
        delays.sort_by(f64::total_cmp);
        let at =
            |q: f64| delays.get((delays.len() as f64 * q) as usize).copied().unwrap_or(0.0) * 1e3;
        format!(
            "{name:28} onset {:.3} (p {:.3} r {:.3}) note {:.3} starts {:.3} true {:.3} class {:.3} sd {:5.1} bias {:+5.1} delay {:.0}/{:.0}",
            self.onsets.f1(),
            self.onsets.found as f64 / self.onsets.heard.max(1) as f64,
            self.onsets.found as f64 / self.onsets.played.max(1) as f64,
            self.notes.f1(),
            self.starts_heard.f1(),
            self.starts_true.f1(),
            self.classes.0 as f64 / self.classes.1.max(1) as f64,
            sd * 1e3,
            mean * 1e3,
            at(0.5),
            at(0.95)
        )
    }
}

fn main() -> Result<(), String> {
    let options = Options::parse();
    if let Some(folder) = &options.voice {
        return voice(folder);
    }
    let renderer = Renderer::open(&options.font)?;
    let mut solos = Solo::invented(options.seed, options.invented)?;
    if let Some(folder) = &options.solos {
        solos.extend(Solo::labelled(folder, options.from, options.every)?);
    }
    let jobs: Vec<(usize, Condition)> = (0..solos.len())
        .flat_map(|s| options.conditions.iter().map(move |c| (s, Condition::ALL[*c])))
        .collect();
    let next = std::sync::atomic::AtomicUsize::new(0);
    let results = std::sync::Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                loop {
                    let index = next.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                    let Some((solo, condition)) = jobs.get(index) else { return };
                    let solo = &solos[*solo];
                    let recording =
                        cached(&renderer, solo, *condition, options.cache.as_deref()).unwrap();
                    let result = one(solo, &recording, options.auto);
                    results.lock().unwrap().push((
                        solo.played.name,
                        *condition,
                        result.0,
                        result.1,
                        index,
                    ));
                }
            });
        }
    });
    let mut sums: BTreeMap<(String, &str), Sum> = BTreeMap::new();
    let mut results = results.into_inner().unwrap();
    results.sort_by_key(|r| r.4);
    let mut dump = String::new();
    for (name, condition, sum, rows, _) in &results {
        sums.entry((condition.name(), name)).or_default().add(sum);
        sums.entry((condition.name(), "ALL")).or_default().add(sum);
        if options.dump.is_some() {
            for row in rows {
                dump += &format!("{},{},{row}\n", condition.name(), name);
            }
        }
    }
    if let Some(path) = &options.dump {
        std::fs::write(path, dump).map_err(|e| e.to_string())?;
    }
    for ((condition, name), sum) in &sums {
        if std::env::var_os("OFF").is_some() {
            let mut by: BTreeMap<i32, (usize, Vec<u8>)> = BTreeMap::new();
            for ((d, k), n) in &sum.off {
                let e = by.entry(*d).or_default();
                e.0 += n;
                e.1.push(*k);
            }
            println!("   {by:?}");
        }
        println!("{}", sum.line(&format!("{condition} {name}")));
    }
    Ok(())
}

fn cached(
    renderer: &Renderer,
    solo: &Solo,
    condition: Condition,
    folder: Option<&std::path::Path>,
) -> Result<render::Recording, String> {
    let Some(folder) = folder else { return renderer.record(solo, condition) };
    let name = format!("{} {} {}", solo.name, solo.played.name, condition.name());
    let (sound, truth) = (folder.join(format!("{name}.f32")), folder.join(format!("{name}.json")));
    if let (Ok(bytes), Ok(text)) = (std::fs::read(&sound), std::fs::read_to_string(&truth)) {
        let samples =
            bytes.chunks_exact(4).map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]])).collect();
        let notes = serde_json::from_str(&text).map_err(|e| e.to_string())?;
        return Ok(render::Recording { samples, notes });
    }
    let recording = renderer.record(solo, condition)?;
    let bytes: Vec<u8> = recording.samples.iter().flat_map(|s| s.to_le_bytes()).collect();
    std::fs::write(sound, bytes).map_err(|e| e.to_string())?;
    std::fs::write(truth, serde_json::to_string(&recording.notes).map_err(|e| e.to_string())?)
        .map_err(|e| e.to_string())?;
    Ok(recording)
}

fn one(solo: &Solo, recording: &render::Recording, auto: bool) -> (Sum, Vec<String>) {
    let instrument = if auto { Instrument::Auto } else { solo.played.instrument };
    let settings = TrackerSettings { instrument, tuning: None };
    let heard = hear::hear(&recording.samples, RATE, settings).unwrap();
    let played = &recording.notes;
    let mut sum = Sum {
        onsets: score::onsets(played, &heard.notes),
        notes: score::notes(played, &heard.notes),
        ..Sum::default()
    };
    for (a, b) in score::pairs(played, &heard.notes, |_, _| true) {
        sum.errors.push(heard.notes[b].on - played[a].on);
        sum.delays.push(heard.known[b] - played[a].on);
        *sum.off
            .entry((i32::from(heard.notes[b].key) - i32::from(played[a].key), played[a].key))
            .or_default() += 1;
    }
    let truth = solo.analysed(played);
    let ours = solo.analysed(&heard.notes);
    if let (Some(truth), Some(ours)) = (truth, ours) {
        let labelled: Vec<_> = solo.starts.iter().map(|s| played[*s]).collect();
        let starts =
            |analysis: &overbar_core::analysis::take_analysis::TakeAnalysis| -> Vec<solos::Note> {
                let notes = analysis.take().heard.notes();
                analysis
                    .phrases()
                    .iter()
                    .map(|p| {
                        let n = &notes[p.first_note];
                        solos::Note {
                            on: n.on.second.0,
                            off: 0.0,
                            key: n.key,
                            velocity: 0,
                            low: false,
                        }
                    })
                    .collect()
            };
        let (a, b) = (starts(&truth), starts(&ours));
        sum.starts_true = score::onsets(&labelled, &a);
        sum.starts_heard = score::onsets(&labelled, &b);
        for (x, y) in score::pairs(&a, &b, |_, _| true) {
            sum.classes.1 += 1;
            sum.classes.0 +=
                usize::from(truth.phrases()[x].entry.class == ours.phrases()[y].entry.class);
        }
    }
    // Label candidates.
    let mut rows = Vec::new();
    let time = |c: &overbar_core::transcription::Candidate| c.at as f64 * 128.0 / 24000.0;
    let mut nearest: Vec<Option<usize>> = vec![None; heard.judged.len()];
    for note in played {
        let best = heard
            .judged
            .iter()
            .enumerate()
            .filter(|(_, c)| (time(c) - note.on).abs() <= 0.035)
            .min_by(|a, b| (time(a.1) - note.on).abs().total_cmp(&(time(b.1) - note.on).abs()));
        if let Some((i, _)) = best {
            nearest[i] = Some(1);
        }
    }
    for (i, c) in heard.judged.iter().enumerate() {
        let t = time(c);
        let near = played.iter().any(|n| (n.on - t).abs() <= 0.045);
        let label = match (nearest[i], near) {
            (Some(_), _) => 1,
            (None, true) => continue,
            _ => 0,
        };
        let features: Vec<String> = c.features.iter().map(|f| format!("{f:.4}")).collect();
        rows.push(format!("{:?},{label},{:.3},{}", c.situation, c.likely, features.join(",")));
    }
    (sum, rows)
}

fn voice(folder: &std::path::Path) -> Result<(), String> {
    let bytes = std::fs::read(folder.join("vocadito_1.wav")).map_err(|e| e.to_string())?;
    let samples: Vec<f32> = bytes[44..]
        .chunks_exact(2)
        .map(|b| f32::from(i16::from_le_bytes([b[0], b[1]])) / 32768.0)
        .collect();
    let settings = TrackerSettings { instrument: Instrument::Voice, tuning: None };
    let heard = hear::hear(&samples, 44_100, settings)?;
    for a in ["notes_a1.csv", "notes_a2.csv"] {
        let text = std::fs::read_to_string(folder.join(a)).map_err(|e| e.to_string())?;
        let notes: Vec<solos::Note> = text
            .lines()
            .map(|l| {
                let v: Vec<f64> = l.split(',').map(|x| x.parse().unwrap()).collect();
                solos::Note {
                    on: v[0],
                    off: v[0] + v[2],
                    key: (69.0 + 12.0 * (v[1] / 440.0).log2()).round() as u8,
                    velocity: 0,
                    low: false,
                }
            })
            .collect();
        let (o, n) = (score::onsets(&notes, &heard.notes), score::notes(&notes, &heard.notes));
        println!(
            "{a}: onset {:.3} (heard {} played {} found {}) note {:.3}",
            o.f1(),
            o.heard,
            o.played,
            o.found,
            n.f1()
        );
    }
    std::io::stdout().flush().ok();
    Ok(())
}
