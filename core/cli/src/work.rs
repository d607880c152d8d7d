//! Long work: on all cores, with its progress on a terminal, until it is done or interrupted.

use indicatif::{ProgressBar, ProgressStyle};
use overbar_files::load::on_all_cores_in_order;
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};

static INTERRUPTED: AtomicBool = AtomicBool::new(false);

/// Whether the user interrupted the work.
pub(crate) fn is_interrupted() -> bool {
    INTERRUPTED.load(Relaxed)
}

/// From now on an interrupt lets each file that is begun be finished; a second one ends the program.
pub(crate) fn finish_files_on_interrupt() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // Where no handler can be set an interrupt ends the program, which leaves no half file either.
        drop(ctrlc::set_handler(|| {
            if INTERRUPTED.swap(true, Relaxed) {
                std::process::exit(130);
            }
        }));
    });
}

/// Runs `run` for every item on all cores, and `then` for each result in order. After an interrupt
/// items not begun are left out.
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

/// The same before any file is begun: an interrupt ends the program.
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

/// A bar on standard error, which is hidden where that is no terminal.
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
