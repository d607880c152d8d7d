//! Plays the invented practice session through the built CLAP and prints the plugin's analysis.
//!
//! `demo [--show]`: JSON and pictures go to `target/demo`. With `--show` and a display, the
//! plugin's own window is open while it plays, in real time.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::event::Event;
use overbar_core::output::review::Review;
use overbar_core::session::Session;
use overbar_core::session::snapshot::Snapshot;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::take::{Take as Played, TakeId};
use overbar_core::time::transport::TransportPoint;
use overbar_tests::host::{ClapRig, Host, Player};
use overbar_tests::practice::{self, Take};
use overbar_tests::rehearsal::{self, Rehearsal};
use overbar_tests::{bundle, live, sound};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

const FRAMES: usize = 512;

/// Onsets this close are equal, in seconds: the tolerance of onset detectors (MIREX).
const SAME_ONSET: f64 = 0.05;

/// Beats of count-in before a take, and beats after it.
const COUNT_IN: f64 = 4.0;
const AFTER: f64 = 2.0;

type Failed = Box<dyn std::error::Error>;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let show = match arguments.as_slice() {
        [] => false,
        [flag] if flag == "--show" => true,
        _ => {
            say("demo [--show]");
            return ExitCode::from(2);
        }
    };
    match run(show) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            say(&format!("demo: {error}"));
            ExitCode::FAILURE
        }
    }
}

fn run(show: bool) -> Result<(), Failed> {
    let folder = target().join("demo");
    std::fs::create_dir_all(&folder)?;
    let folder = folder.canonicalize()?;
    let mut plugin = ClapRig::load(&bundle::clap())?;
    plugin.activate(live::RATE, FRAMES)?;
    let session = practice::takes();
    say(&format!(
        "An invented practice session: three takes over a {}-bar tune at {:.0}, two times through \
         each, played through the built CLAP.",
        practice::FORM,
        practice::TEMPO
    ));
    if show {
        shown::play(&mut plugin, &session)?;
    } else {
        for take in &session {
            play(&mut plugin, take, &mut |_| Ok(()))?;
        }
    }
    let heard = live::takes(&mut plugin);
    for (number, take) in session.iter().enumerate().take(heard.len()) {
        tell(take, &heard[..=number], &folder)?;
    }
    if heard.len() != session.len() {
        return Err(format!("{} takes were heard of {}", heard.len(), session.len()).into());
    }
    as_sound(&session[1], &heard[1])?;
    without_a_click(&mut plugin, &session[2], &folder)?;
    say(&format!("\nJSON and pictures are in {}", folder.display()));
    Ok(())
}

/// Plays a take as audio to the listening plugin, and prints the differences from the same take as MIDI.
fn as_sound(take: &Take, as_midi: &Performance) -> Result<(), Failed> {
    say(&format!("\n{}, once more as sound, heard by Overbar Listen:", take.name));
    let mut plugin = ClapRig::load_listening(&bundle::clap())?;
    let pass = sound::Pass { before: COUNT_IN, recording: true };
    let heard = sound::play(&mut plugin, &take.song, FRAMES, pass);
    let [heard] = heard.as_slice() else {
        return Err(format!("{} takes were heard in the sound of one", heard.len()).into());
    };
    let notes = |take: &Performance| -> Vec<(f64, u8)> {
        take.soloist.notes().iter().map(|note| (note.on.beat.0, note.key)).collect()
    };
    let near = SAME_ONSET * practice::TEMPO / 60.0;
    let same = |a: &(f64, u8), b: &(f64, u8)| a.1 == b.1 && (a.0 - b.0).abs() <= near;
    let (played, found) = (notes(as_midi), notes(heard));
    let of = |some: &[(f64, u8)], all: &[(f64, u8)]| {
        some.iter().filter(|one| all.iter().any(|other| same(one, other))).count()
    };
    let (hit, extra) = (of(&played, &found), found.len() - of(&found, &played));
    say(&format!(
        "  notes within 50 ms: {hit} of {}; not played, but heard: {extra}",
        played.len()
    ));
    let phrases = |take: &Performance| {
        let analysis = TakeAnalysis::of(take.clone(), Settings::default());
        Review::of_take("take", &analysis).phrases
    };
    let (midi, sound) = (phrases(as_midi), phrases(heard));
    for phrase in &midi {
        let place = (phrase.entry.bar, phrase.entry.class);
        let there = sound.iter().any(|other| (other.entry.bar, other.entry.class) == place);
        if !there {
            let (bar, beat) = (phrase.entry.bar, phrase.entry.beat);
            say(&format!("  differs: the phrase that starts in bar {bar}, on beat {beat:.2}"));
        }
    }
    say(&format!("  phrases: {} as sound, {} as MIDI", sound.len(), midi.len()));
    Ok(())
}

/// Plays a take as in a rehearsal without a click, with the beat tapped by foot except for four bars, and
/// prints the differences from the true beat.
fn without_a_click(plugin: &mut ClapRig, take: &Take, folder: &Path) -> Result<(), Failed> {
    let rehearsal = Rehearsal::of(&take.song, &(64..80), 21);
    rehearsal::use_taps(plugin);
    // The worker must apply the parameter before anything is played.
    std::thread::sleep(std::time::Duration::from_millis(50));
    let again = Take {
        name: "take 4",
        story: "the third once more, in a rehearsal without a click",
        song: rehearsal.song.clone(),
    };
    play(plugin, &again, &mut |_| Ok(()))?;
    let heard = live::takes(plugin);
    tell(&again, &heard, folder)?;
    let tapped = heard.last().ok_or("the rehearsal was not heard")?;
    let truth = rehearsal.on_true_beats(tapped);
    let mut on_host = tapped.clone();
    on_host.set_grid(None);
    let (right, phrases) = rehearsal::alike(tapped, &truth);
    let (by_chance, _) = rehearsal::alike(&on_host, &truth);
    say(&format!(
        "  by the taps, {right} of {phrases} phrases start on the kind of beat that was played; by the \
         host's tempo, {by_chance}"
    ));
    Ok(())
}

/// Plays one take, with a callback after each block.
fn play(
    plugin: &mut ClapRig,
    take: &Take,
    after_block: &mut dyn FnMut(&mut ClapRig) -> Result<(), Failed>,
) -> Result<(), Failed> {
    let end = take.song.notes.iter().map(|n| n.off).fold(0.0, f64::max) + AFTER;
    let mut player = Player::new(&take.song, live::RATE, -COUNT_IN);
    player.recording = true;
    while player.position() < end {
        let block = player.block(FRAMES);
        plugin.process(&block);
        after_block(plugin)?;
    }
    let stopped = player.stopped(FRAMES);
    plugin.process(&stopped);
    Ok(())
}

/// Prints the analysis of a take, the last of `heard`.
fn tell(take: &Take, heard: &[Performance], folder: &Path) -> Result<(), Failed> {
    let Some(performance) = heard.last() else { return Ok(()) };
    let name = format!("{}: {}", take.name, take.story);
    let review =
        Review::of_take(&name, &TakeAnalysis::of(performance.clone(), Settings::default()));
    say(&format!("\n{}", review.to_string().trim_end()));
    let file = take.name.replace(' ', "-");
    std::fs::write(folder.join(format!("{file}.json")), serde_json::to_string_pretty(&review)?)?;
    picture(&snapshot(heard), &folder.join(format!("{file}.png")));
    Ok(())
}

/// The panel's view just after the transport has stopped at the end of the last take.
fn snapshot(takes: &[Performance]) -> Snapshot {
    let mut session = Session::default();
    let called = |(id, performance)| Played::new(TakeId(id), performance);
    session.restore((0..).zip(takes.to_vec()).map(called).collect());
    session.push(Event::Transport(TransportPoint {
        beat: Some(0.0),
        tempo: Some(practice::TEMPO),
        metre: Some((4, 4)),
        ..TransportPoint::default()
    }));
    session.snapshot()
}

#[cfg(feature = "pictures")]
fn picture(snapshot: &Snapshot, path: &Path) {
    let view = overbar::panel::view::View::of(snapshot);
    let saved = overbar_tests::picture::save(&view, egui::vec2(640.0, 400.0), 2.0, path);
    if let Err(why) = saved {
        say(&format!("  no picture of the panel: {why}"));
    }
}

#[cfg(not(feature = "pictures"))]
fn picture(_: &Snapshot, path: &Path) {
    say(&format!("  no {}: built without pictures", path.display()));
}

fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(
        || PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../target")),
        PathBuf::from,
    )
}

#[expect(clippy::print_stdout, reason = "what a demo is for")]
fn say(line: &str) {
    println!("{line}");
}

/// The plugin's own window, in real time.
#[cfg(target_os = "linux")]
mod shown {
    use super::{ClapRig, FRAMES, Failed, Host, Take, live, say};
    use overbar_tests::host::GuiHost;
    use overbar_tests::window::HostWindow;
    use std::time::{Duration, Instant};

    pub fn play(plugin: &mut ClapRig, session: &[Take]) -> Result<(), Failed> {
        let window = match HostWindow::open("Overbar", (640, 400)) {
            Ok(window) => window,
            Err(why) => {
                say(&format!("no window: {why}"));
                return session.iter().try_for_each(|t| super::play(plugin, t, &mut |_| Ok(())));
            }
        };
        plugin.open_gui(window.id(), 1.0)?;
        let block = Duration::from_secs_f64(FRAMES as f64 / live::RATE);
        let mut due = Instant::now();
        let mut open = true;
        for take in session {
            play_take(plugin, take, &window, &mut due, block, &mut open)?;
        }
        plugin.close_gui();
        Ok(())
    }

    /// Plays a take in real time while its window is open, and without delay once it is closed.
    fn play_take(
        plugin: &mut ClapRig,
        take: &Take,
        window: &HostWindow,
        due: &mut Instant,
        block: Duration,
        open: &mut bool,
    ) -> Result<(), Failed> {
        super::play(plugin, take, &mut |plugin| {
            if !*open {
                return Ok(());
            }
            plugin.service();
            let (size, closed) = window.poll()?;
            if let Some((width, height)) = size {
                plugin.resize_gui((width.into(), height.into()))?;
            }
            if closed {
                plugin.close_gui();
                *open = false;
                return Ok(());
            }
            *due += block;
            std::thread::sleep(due.saturating_duration_since(Instant::now()));
            Ok(())
        })
    }
}

#[cfg(not(target_os = "linux"))]
mod shown {
    use super::{ClapRig, Failed, Take, say};

    pub fn play(plugin: &mut ClapRig, session: &[Take]) -> Result<(), Failed> {
        say("no window: the demo opens one on Linux only");
        session.iter().try_for_each(|take| super::play(plugin, take, &mut |_| Ok(())))
    }
}
