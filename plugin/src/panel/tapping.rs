//! Tapping the beat: the button in the header, its messages, the space bar of the stand-alone panel, and
//! learning the tap note.

use crate::command::action::Action;
use crate::panel::frame::Frame;
use crate::panel::view::View;
use crate::panel::widgets::icon::Icon;
use crate::panel::widgets::{button, help};
use egui::{Align2, Event, Key, Rect, Sense, pos2};
use overbar_core::grid::COUNT_IN;
use overbar_core::grid::follower::Tapped;
use overbar_core::session::own_beat::{BeatDoubt, OwnBeat};

/// The button's text.
pub const TAP: &str = "Tap";

/// A prompt or result, if the song position does not say it all.
pub fn message(beat: &OwnBeat) -> Option<String> {
    if beat.line.is_none() {
        return Some(match beat.counted_in {
            COUNT_IN.. if beat.from_band => "waiting for the band".to_owned(),
            0 => format!("tap {COUNT_IN} even beats"),
            taps => format!("count-in: {taps} of {COUNT_IN} taps"),
        });
    }
    let text = match (beat.last, beat.doubt) {
        (Some(Tapped::OffTheGrid), _) => "tap off the beat: ignored",
        (_, Some(BeatDoubt::Unheard)) if beat.from_band => "band not heard",
        (_, Some(BeatDoubt::Count)) => "which beat is in doubt: count in again",
        (_, Some(BeatDoubt::Unheard)) => "no taps lately",
        _ => return None,
    };
    Some(text.to_owned())
}

/// The taps by outcome: "14 taps followed, 1 doubled".
pub fn counted(view: &View<'_>) -> Option<String> {
    let counts = view.snapshot.own_beat.filter(|beat| !beat.from_band)?.counts;
    let others = [(counts.double, "doubled"), (counts.off_the_grid, "off the beat")];
    let others = others.into_iter().filter(|(count, _)| *count > 0);
    let others: String = others.map(|(count, what)| format!(", {count} {what}")).collect();
    let taps = crate::panel::words::count(counts.followed as usize, "tap", "taps");
    Some(format!("Beat: {taps} followed{others}"))
}

/// The button over `place`, with its name or an icon. It taps on press, not on release.
pub fn tap_button(f: &mut Frame<'_>, place: Rect, spelled: bool) {
    let label = "Tap the beat";
    let response = f.icon_button(place, (TAP, label, spelled), (true, false), Icon::Tap);
    let response = f.explain(response, help::TAP);
    let (down, up) =
        f.ui.input(|input| (input.pointer.primary_pressed(), input.pointer.primary_released()));
    // A keyboard or screen reader clicks it without a press.
    if (down && response.contains_pointer()) || (response.clicked() && !up) {
        f.acts.push(Action::Tap);
    }
}

/// In the stand-alone panel the space bar taps, unless a text field has the focus. To be called before keys
/// are left to the host.
pub fn space_bar(ui: &egui::Ui, view: &View<'_>) -> bool {
    let is_wanted = view.stand_alone && view.snapshot.own_beat.is_some();
    is_wanted
        && !ui.ctx().text_edit_focused()
        && ui.input(|input| {
            let pressed = |event: &Event| {
                matches!(event, Event::Key { key: Key::Space, pressed: true, repeat: false, .. })
            };
            input.events.iter().any(pressed)
        })
}

/// A row of the settings to learn the tap note, with its name at `names` points.
pub fn learn(f: &mut Frame<'_>, (lane, names): (Rect, f32)) {
    let (name, text, label) = match f.view.learning {
        true => ("Play the note you want to tap with…", "Cancel", "Do not learn the tap note"),
        false => ("Tap note by playing it", "Learn", "Learn the tap note"),
    };
    let line = f.line(name, names, f.theme().ink);
    line.paint(lane.left_center(), Align2::LEFT_CENTER);
    let size = f.button_size(text);
    let high = button::height(f.style);
    let place = Rect::from_center_size(
        pos2(lane.right() - size.x / 2.0, lane.center().y),
        egui::vec2(size.x, high),
    );
    f.interact(lane.with_max_x(place.left()), "learn", Sense::hover());
    let pressed = f.button(place, text, label, true);
    if f.explain(pressed, help::LEARN).clicked() {
        f.acts.push(Action::Learn(!f.view.learning));
    }
}
