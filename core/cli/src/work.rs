//! Long work: on all cores, with a progress bar on a terminal, until it is done or interrupted.

use indicatif::{ProgressBar, ProgressStyle};
use overbar_files::load::on_all_cores_in_order;
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};

static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Whether the user interrupted the work.
pub(crate) fn is_interrupted() -> bool {
    INTERRUPTED.load(Relaxed)
}

/// From now on an interrupt lets files in progress finish; a second one ends the program.
pub(crate) fn finish_files_on_interrupt() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // Without a handler an interrupt ends the program, which leaves no partial file either.
        drop(ctrlc::set_handler(|| {
            if INTERRUPTED.swap(true, Relaxed) {
                std::process::exit(130);
            }
        }));
    });
}

/// Runs `run` for every item on all cores, and `then` for each result in order. After an interrupt, remaining
/// items are skipped.
pub(crate) fn each<I: Sync, R: Send>(
    what: &'static str,
    items: &[I],
    run: impl Fn(&I) -> R + Sync,
    mut then: impl FnMut(R),
) {
    finish_files_on_interrupt();
    let run = |item: &I| (!is_interrupted()).then(|| run(item));
    before(what, items, run, |result| {
        if let Some(result) = result {
            then(result);
        }
    });
}

/// The same before any file is written: an interrupt ends the program.
pub(crate) fn before<I: Sync, R: Send>(
    what: &'static str,
    items: &[I],
    run: impl Fn(&I) -> R + Sync,
    mut then: impl FnMut(R),
) {
    let bar = progress(what, items.len());
    on_all_cores_in_order(items, run, |result| {
        bar.inc(1);
        bar.suspend(|| then(result));
    });
    bar.finish_and_clear();
}

/// A progress bar on standard error, hidden if that is not a terminal.
fn progress(what: &'static str, count: usize) -> ProgressBar {
    if count < 2 {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(count as u64);
    let style = ProgressStyle::with_template("{prefix} {wide_bar} {pos} of {len}, {eta} left");
    if let Ok(style) = style {
        bar.set_style(style);
    }
    bar.with_prefix(what)
}
