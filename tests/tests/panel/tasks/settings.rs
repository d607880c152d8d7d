//! The tune, and settings.

use super::Step::{Press, Scroll, Type};
use super::{Task, each, press, says};
use crate::errands::{Desktop, opened, until};
use crate::system_errands::manual;
use overbar::command::Command;
use overbar::view_model::look::{Tab, ThemeName};
use overbar::view_model::tune::{TuneField, TuneText};
use overbar_core::session::own_beat::BeatSource;
use overbar_core::theory::instrument::InstrumentPitch;

const TUNE: super::Step = Press("the tune, at the top", "Tune: ");

fn tune(desktop: &Desktop) -> TuneText {
    desktop.state().shared.publisher.view_model().tune.clone()
}

fn clicks(desktop: &Desktop) -> bool {
    desktop.state().settings().iter().any(|s| s.id == "click" && s.at_most)
}

fn written_for(desktop: &Desktop) -> InstrumentPitch {
    desktop.state().shared.publisher.compare.selection().written_for
}

pub const TASKS: [Task; 18] = [
    Task {
        to: "set the number of bars in a chorus",
        view: Tab::Playing,
        steps: &[TUNE, Type("Bars per chorus", "Bars per chorus: ", "8")],
        worked: |d| says(d, "A chorus of 8 bars"),
    },
    Task {
        to: "set the sections of the tune",
        view: Tab::Playing,
        steps: &[TUNE, Type("Sections", "Sections: empty, edit", "A4 B4")],
        worked: |d| says(d, "A chorus of 8 bars in 2 sections"),
    },
    Task {
        to: "enter the chords",
        view: Tab::Playing,
        steps: &[
            TUNE,
            Type("Chords", "Chords: empty, edit", "| Cm7 | % | F7 | % | Bb | % | Eb | G7 |"),
        ],
        worked: |d| tune(d).chords.starts_with("| Cm7"),
    },
    Task {
        to: "set the player",
        view: Tab::Playing,
        steps: &[TUNE, Type("Player", "Player: ", "Second chair")],
        worked: |d| tune(d).player == "Second chair",
    },
    Task {
        to: "go back to a tune that I played before",
        view: Tab::Playing,
        steps: &[TUNE, Press("its name", "Known tune: A barn")],
        worked: |d| tune(d).name == "A barn" && says(d, "A chorus of 12 bars"),
    },
    Task {
        to: "write scores for a tenor saxophone",
        view: Tab::Tune,
        steps: &[
            Press("Written for", "Written for: "),
            Press("its pitch", "Written for B♭ (tenor)"),
        ],
        worked: |d| written_for(d) == InstrumentPitch::LowBFlat,
    },
    Task {
        to: "get the alert only after 4 starts on beat one",
        view: Tab::Settings,
        steps: &[Press("+", "Beat-one alert: more")],
        worked: |d| d.state().shared.session().settings().alerts.beat_one_streak == 4,
    },
    Task {
        to: "reset a setting",
        view: Tab::Settings,
        steps: &[Press("Reset", "Beat-one alert: reset")],
        worked: |d| d.state().shared.session().settings().alerts.beat_one_streak == 3,
    },
    Task {
        to: "switch an alert off",
        view: Tab::Settings,
        steps: &[Type("Short-phrase alert", "Short-phrase alert: 4 in a row, edit", "off")],
        worked: |d| d.state().shared.session().settings().alerts.short_streak == 0,
    },
    Task {
        to: "follow one MIDI channel only",
        view: Tab::Settings,
        steps: &[Press("+", "MIDI channel: more")],
        worked: |d| d.state().shared.session().settings().hearing.channel == Some(0),
    },
    Task {
        to: "take the beat from taps",
        view: Tab::Settings,
        steps: &[Press("+", "Beat source: more")],
        worked: |d| d.state().shared.session().beat_source() == BeatSource::Taps,
    },
    Task {
        to: "choose the tap note by playing it",
        view: Tab::Settings,
        steps: &[Press("Learn", "Learn the tap note")],
        worked: |d| d.state().shared.audio.headline.is_learning(),
    },
    Task {
        to: "split the line into more phrases",
        view: Tab::Settings,
        steps: &[Press("+", "Phrase sensitivity: more")],
        worked: |d| d.state().shared.session().settings().finer > 0.01,
    },
    Task {
        to: "switch the click on",
        view: Tab::Settings,
        steps: &[Scroll(420.0), Press("on", "Click: on")],
        worked: |d| clicks(d),
    },
    Task {
        to: "switch the click off",
        view: Tab::Settings,
        steps: &[Scroll(420.0), Press("off", "Click: off")],
        worked: |d| !clicks(d),
    },
    Task {
        to: "switch to light colours",
        view: Tab::Settings,
        steps: &[Scroll(2000.0), press("Light")],
        worked: |d| d.state().state.look.theme == ThemeName::Day,
    },
    Task {
        to: "open the manual",
        view: Tab::Settings,
        steps: &[Scroll(2000.0), Press("Open", "Open the manual")],
        worked: |d| !d.state().system.opened.lock().unwrap().is_empty(),
    },
    Task {
        to: "go back to the view of what is played",
        view: Tab::Settings,
        steps: &[press("Playing")],
        worked: |d| says(d, "phrases, aligned to the bar line"),
    },
];

/// Where one tune was played before, and another one is played now. Their names are first in order:
/// the library outlives tests, and the row has room for few tunes.
fn with_a_known_tune() -> Desktop {
    let mut desktop = opened();
    desktop.state().system.manuals.lock().unwrap().push(manual());
    for (field, text) in
        [(TuneField::Name, "A barn"), (TuneField::Bars, "12"), (TuneField::Name, "A cove")]
    {
        desktop.state().shared.panel.send(Command::SetTune(field, text.to_owned()));
        until(&mut desktop, |d| tune(d).field(field) == text);
    }
    for field in [TuneField::Bars, TuneField::Sections, TuneField::Chords, TuneField::Player] {
        desktop.state().shared.panel.send(Command::SetTune(field, String::new()));
    }
    until(&mut desktop, |d| tune(d).bars.is_empty());
    desktop
}

#[test]
fn the_tune_and_settings() {
    each(&mut with_a_known_tune(), &TASKS);
}
