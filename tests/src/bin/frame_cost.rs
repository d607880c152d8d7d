//! The CPU cost of a frame of the panel, before the graphics driver: layout and tessellation, in every view,
//! with 500 phrases, and with a page of a library of 10,000 takes.
//!
//! Exit code 1 if a frame exceeds its limit.

use egui::{Context, Pos2, RawInput, Rect, Vec2, vec2};
use overbar::host::parameters::ParameterAccess;
use overbar::host::params::OverbarParams;
use overbar::host::state::Saved;
use overbar::panel;
use overbar::panel::state::PanelState;
use overbar::panel::state::takes::Source;
use overbar::panel::view::View;
use overbar::view_model::library::{LibraryView, TAKES_PER_PAGE};
use overbar::view_model::look::Tab;
use overbar::worker::shared::Shared;
use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::time::transport::TransportPoint;
use overbar_core::time::{Beat, Second};
use overbar_library::{ListPage, ListedTake, Origin, Stamp, Summary, TakeState};
use std::process::ExitCode;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Limit of the median frame.
const LIMIT: Duration = Duration::from_millis(2);

const LIBRARY: &str = "the library";

const PHRASES: u32 = 500;
const WINDOW: Vec2 = vec2(1280.0, 800.0);
const FRAMES: usize = 200;

fn main() -> ExitCode {
    let mut session = played();
    let mut all_well = true;
    for (name, tab, note, across) in [
        ("playing", Tab::Playing, None, false),
        ("a phrase from near", Tab::Playing, Some(30), false),
        ("takes", Tab::Takes, None, false),
        (LIBRARY, Tab::Takes, None, false),
        ("settings", Tab::Settings, None, false),
        ("across the room", Tab::Playing, None, true),
    ] {
        session.choose(note);
        let library = (name == LIBRARY).then(library);
        let cost = frame(&mut session, tab, across, library.as_ref());
        all_well &= cost <= LIMIT;
        let (cost, limit) = (cost.as_secs_f64() * 1e3, LIMIT.as_secs_f64() * 1e3);
        report(&format!("a frame of {name}: {cost:.2} ms (at most {limit:.0})"));
    }
    if all_well { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// 500 phrases in 4/4 at 120 BPM, of 3 to 14 eighths, starting all over the bar.
fn played() -> Session {
    let mut session = Session::default();
    session.push(Event::Transport(TransportPoint {
        beat: Some(0.0),
        tempo: Some(120.0),
        metre: Some((4, 4)),
        rolling: true,
        ..TransportPoint::default()
    }));
    let mut eighth = 0;
    for phrase in 0..PHRASES {
        for note in 0..3 + phrase * 7 % 12 {
            let at = Second(f64::from(eighth) * 0.25);
            let key = Some(u8::try_from(55 + (phrase + note * 5) % 24).unwrap_or(60));
            let (channel, beat) = (Some(0), None);
            session.push(Event::On(NoteOn { at, beat, key, channel, velocity: 0.8 }));
            let at = Second(at.0 + 0.22);
            session.push(Event::Off(NoteOff { at, beat, key, channel }));
            eighth += 1;
        }
        eighth += 5 + phrase % 3;
    }
    session
}

/// A full page of a library.
fn library() -> LibraryView {
    let row = |id: u32| ListedTake {
        id: TakeId(id.into()),
        name: format!("Slow one, take {id}"),
        star: false,
        began: Stamp(i64::from(id) * 3_600_000),
        state: TakeState::Finished,
        origin: Origin::Played,
        summary: Summary {
            notes: 412,
            outside: 0,
            seconds: 143.0,
            bars: (5, 76),
            tempo: Some(132.0),
            metre: "4/4".to_owned(),
        },
    };
    let page = ListPage { rows: (1..=TAKES_PER_PAGE).map(row).collect(), of: 10_000 };
    LibraryView { page, at: Stamp(1_790_000_000_000), cut_off: 12, ..LibraryView::default() }
}

/// The median cost of a frame; of the library's view if there is one.
fn frame(
    session: &mut Session,
    tab: Tab,
    across_the_room: bool,
    library: Option<&LibraryView>,
) -> Duration {
    let snapshot = session.snapshot();
    let params = Arc::new(OverbarParams::new(Saved::new(Arc::new(Shared::default()))));
    let knobs = ParameterAccess::new(params);
    let ctx = Context::default();
    let mut state = PanelState::default();
    state.look.tab = tab;
    if library.is_some() {
        state.takes.source = Source::Library;
    }
    let mut costs = Vec::with_capacity(FRAMES);
    for number in 0..FRAMES {
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, WINDOW)),
            time: Some(number as f64 / 30.0),
            ..RawInput::default()
        };
        let began = Instant::now();
        let settings = knobs.settings();
        // The song is playing, so that no two frames are alike.
        let view = View {
            playhead: Some(Beat(number as f64 / 15.0)),
            settings: &settings,
            across_the_room,
            library,
            ..View::of(&snapshot)
        };
        let output = ctx.run_ui(input, |ui| drop(panel::show(ui, &view, &mut state)));
        drop(ctx.tessellate(output.shapes, output.pixels_per_point));
        costs.push(began.elapsed());
    }
    costs.sort_unstable();
    costs[FRAMES / 2]
}

#[expect(clippy::print_stdout, reason = "what a benchmark is for")]
fn report(line: &str) {
    println!("{line}");
}
