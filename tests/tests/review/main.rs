//! Reviews of invented files, as a user gets them.

mod bad_input;
mod by_hand;
mod damage;
mod folder;
mod line;
mod metres;
mod setting_names;
mod shape;
#[path = "../support/mod.rs"]
mod support;

use overbar_core::input::midi_file::Choice;
use overbar_core::output::review::Review;
use overbar_core::take::settings::Settings;

/// The review of a file's bytes, with the line that is chosen by itself.
fn review(bytes: &[u8]) -> Review {
    Review::of("invented.mid", bytes, Choice::default(), Settings::default()).unwrap()
}
