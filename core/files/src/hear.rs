//! Files as takes, for the commands that read more than their text.

use crate::options::Options;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::midi_file::MidiFile;
use overbar_core::output::review::take_of;
use std::path::Path;

/// A file that was heard.
pub struct Heard {
    /// The file's name without its ending.
    pub name: String,
    /// The take.
    pub analysis: TakeAnalysis,
}

/// The file's name without its ending.
#[must_use]
pub fn name(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

/// Hears the soloist's line of a file, as `options` ask for.
///
/// # Errors
/// A line that names the file and the reason.
pub fn hear(path: &Path, options: &Options) -> Result<Heard, String> {
    let shown = path.display();
    // A folder cannot be read, and a named pipe would be waited for without end.
    let bytes = match std::fs::metadata(path) {
        Ok(found) if !found.is_file() => return Err(format!("{shown}: not a file")),
        found => found.and_then(|_| std::fs::read(path)),
    }
    .map_err(|error| format!("{shown}: {error}"))?;
    let settings = options.settings;
    let midi = MidiFile::read(&bytes).map_err(|error| format!("{shown}: {error}"))?;
    let take = take_of(&midi, options.choice, settings, &options.by_hand)
        .map_err(|error| format!("{shown}: {error}"))?;
    Ok(Heard { name: name(path), analysis: TakeAnalysis::of(take, settings) })
}

/// Hears several files, each named apart: two of one name are told apart by number.
///
/// # Errors
/// The first that could not be heard.
pub fn hear_all(options: &Options) -> Result<Vec<Heard>, String> {
    let mut heard: Vec<Heard> = Vec::new();
    for path in &options.paths {
        let mut next = hear(path, options)?;
        let name = next.name.clone();
        let alike = |h: &Heard, name: &str| h.name == name;
        let mut number = 2;
        while heard.iter().any(|h| alike(h, &next.name)) {
            next.name = format!("{name} ({number})");
            number += 1;
        }
        heard.push(next);
    }
    Ok(heard)
}

/// Does something with every item on all cores; results lie in the items' order.
pub fn on_all_cores<I: Sync, R: Send>(items: &[I], run: impl Fn(&I) -> R + Sync) -> Vec<R> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let next = std::sync::atomic::AtomicUsize::new(0);
    let mut done: Vec<(usize, R)> = std::thread::scope(|scope| {
        let work = || {
            let mut own = Vec::new();
            loop {
                let at = next.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                let Some(item) = items.get(at) else { return own };
                own.push((at, run(item)));
            }
        };
        let threads: Vec<_> = (0..cores.min(items.len())).map(|_| scope.spawn(work)).collect();
        let panicked = "a thread that hears a file has panicked";
        threads.into_iter().flat_map(|thread| thread.join().expect(panicked)).collect()
    });
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, result)| result).collect()
}
