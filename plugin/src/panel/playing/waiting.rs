//! Shown instead of the figure while there is none: first steps, or what the host does not report.

use crate::panel::tapping;
use crate::panel::view::View;
use crate::panel::widgets::Pen;
use crate::panel::words;
use crate::view_model::input::{self, InputView};
use egui::{Align2, Color32, Pos2, Rect, Role, Sense, Stroke, WidgetInfo, pos2, vec2};
use overbar_core::grid::COUNT_IN;
use overbar_core::session::snapshot::GridState;
use overbar_core::time::transport::NoGrid;
use overbar_core::transcription::InputState;

const NO_GRID: &str = "The host sends no tempo or position";

/// Why there are no figures: no beat grid. As wide as its area.
pub fn no_grid(pen: &mut Pen<'_>, why: NoGrid, notes: usize) {
    let size = pen.ui.available_size();
    let (rect, response) = pen.ui.allocate_exact_size(size, Sense::hover());
    let kept = format!("{} stored", words::count(notes, "note", "notes"));
    let why = words::no_grid(why);
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Label, true, format!("{NO_GRID}. {why} {kept}, not analysed."))
    });

    let theme = pen.theme();
    let mut column = Column { pen, rect, y: rect.top() };
    let size = column.one_row_size(NO_GRID, pen.style.large, pen.style.body);
    column.say(NO_GRID, size, theme.ink, 0.0);
    column.say(why, pen.style.body, theme.ink_soft, pen.len(6.0));
    column.say(&kept, pen.style.large, theme.ink, pen.len(14.0));
    let not_counted = "not analysed (no bar position)";
    column.say(not_counted, pen.style.caption, theme.ink_soft, 0.0);
}

/// How to route MIDI here, in general terms.
const ROUTE: &str = "Put Overbar before the instrument on the soloist's MIDI track; or on an instrument \
    track of its own, with that track as its MIDI input.";

/// How to route audio here.
const ROUTE_SOUND: &str = "Put Overbar Listen on the track of the soloist's microphone or pickup, before \
    any other effect. The audio passes through unchanged.";

/// How to route the band here.
const ROUTE_BAND: &str = "Put Overbar Listen on the track of the drums, the bass or the room. The soloist's \
    instance, with the beat source “band”, goes by it.";

/// How to route both here.
const ROUTE_BOTH: &str = "Put Overbar Listen on a stereo track: the soloist's microphone or pickup on its left \
    channel, the drums, the bass or the room on its right. Set the beat source to “taps” to count the band in.";

/// What to do before the first phrase, and the current input. As wide as its area.
pub fn first_steps(pen: &mut Pen<'_>, view: &View<'_>) {
    let snapshot = view.snapshot;
    let size = pen.ui.available_size();
    let (rect, response) = pen.ui.allocate_exact_size(size, Sense::hover());
    let (outside, bleed) = (snapshot.notes_outside, snapshot.bleed_notes);
    let loose = snapshot.notes_without_grid;
    let (send, heard) = input_step(view);
    let mut steps = vec![(send, heard || snapshot.all_notes() > 0)];
    steps.extend(later_steps(view));
    let asides: Vec<String> = [
        (outside, "ignored: outside the MIDI channel or note range (Settings)"),
        (bleed, "ignored: bleed before the soloist came in"),
        (loose, "played while stopped: stored, not analysed"),
    ]
    .into_iter()
    .filter(|(notes, _)| *notes > 0)
    .map(|(notes, why)| format!("{} {why}", words::count(notes, "note", "notes")))
    .collect();
    let now = received(view);
    response.widget_info(|| {
        let done = |done| if done { ": done" } else { "" };
        let steps: Vec<String> =
            steps.iter().map(|(step, is_done)| format!("{step}{}", done(*is_done))).collect();
        let all = [&steps[..], &asides[..], &now[..]].concat().join(". ");
        WidgetInfo::labeled(Role::Label, true, all)
    });

    let theme = pen.theme();
    let mut column = Column { pen, rect, y: rect.top() };
    column.say("Getting started", pen.style.caption, theme.ink_soft, 0.0);
    column.y += pen.len(6.0);
    for (step, done) in steps {
        column.step(step, done);
    }
    for aside in &asides {
        column.say(aside, pen.style.caption, theme.ink_soft, pen.len(6.0));
    }
    let (lines, gap) = (now.join("\n"), pen.len(14.0));
    column.say_if_there_is_room(
        &format!("Coming in now:\n{lines}"),
        pen.style.body,
        theme.ink,
        gap,
    );
    let route = match view.input {
        Some(InputView { role: input::Role::Band, .. }) => return,
        Some(InputView { role: input::Role::Soloist, .. }) => ROUTE_SOUND,
        Some(InputView { role: input::Role::SoloistAndBand, .. }) => ROUTE_BOTH,
        None => ROUTE,
    };
    if !heard {
        column.say_if_there_is_room(route, pen.style.caption, theme.ink_soft, gap);
    }
}

/// The step that sends something to this track, and whether anything arrives.
fn input_step(view: &View<'_>) -> (&'static str, bool) {
    let Some(input) = view.input else {
        return ("Send the soloist's MIDI to this track", view.snapshot.all_notes() > 0);
    };
    let send = match input.role {
        input::Role::Soloist => "Send the soloist's audio to this track",
        input::Role::Band => "Send the band's audio to this track",
        input::Role::SoloistAndBand => "Send the solo left, the band right",
    };
    (send, input.state != InputState::Silent && !input.lacks_band)
}

/// The steps after it, and whether each is done.
fn later_steps(view: &View<'_>) -> Vec<(&'static str, bool)> {
    let snapshot = view.snapshot;
    let mut steps = vec![("Start playback", snapshot.grid == GridState::Rolling)];
    let beat = snapshot.own_beat;
    let follows = beat.is_some_and(|beat| beat.line.is_some());
    if beat.is_some_and(|beat| !beat.from_band || beat.counted_in < COUNT_IN) {
        steps.push(("Tap four even beats: beat one comes next", follows));
    }
    if view.is_band() {
        steps.push(("Let the band play: its beat is followed", follows));
        return steps;
    }
    if beat.is_some_and(|beat| beat.from_band && beat.counted_in >= COUNT_IN) {
        steps.push(("Let the band play", follows));
    }
    steps.push(("Play a phrase", false));
    steps
}

/// The next step that is not done, for reading at four metres: that something arrives shows once it is
/// played.
pub fn next_step(view: &View<'_>) -> &'static str {
    if let GridState::Missing(_) = view.snapshot.grid {
        return "No phrase yet";
    }
    let next = later_steps(view).into_iter().find(|(_, done)| !done);
    next.map_or("No phrase yet", |(step, _)| step)
}

/// What an instance for the band shows in place of phrases.
pub fn of_band(view: &View<'_>) -> String {
    let followed = view.snapshot.own_beat.is_some_and(|beat| beat.line.is_some());
    let beat = match view.tempo.filter(|_| followed) {
        Some(tempo) => format!("Beat followed: {tempo:.0} BPM."),
        None => "No beat followed yet.".to_owned(),
    };
    format!("{beat} Phrases appear in the soloist's Overbar.\n\n{ROUTE_BAND}")
}

/// The current input: notes and transport.
fn received(view: &View<'_>) -> Vec<String> {
    let snapshot = view.snapshot;
    let notes = snapshot.all_notes();
    let counted = words::count(notes, "note", "notes");
    let heard = match (snapshot.newest_note, view.input) {
        (Some(note), None) => {
            let (last, channel) = (words::key(note.key), note.channel + 1);
            format!("MIDI: {counted}, the last {last} on channel {channel}")
        }
        (None, None) => "MIDI: no notes".to_owned(),
        (Some(note), Some(input)) => {
            format!("Audio: {}, {counted}, the last {}", words::input(&input), words::key(note.key))
        }
        (None, Some(input)) => format!("Audio: {}, no notes", words::input(&input)),
    };
    let transport = match snapshot.grid {
        GridState::Rolling => "playing",
        GridState::Stopped => "stopped",
        GridState::Unknown | GridState::Missing(_) => "nothing yet",
    };
    let tempo = view.tempo.map_or_else(String::new, |tempo| format!(", {tempo:.0} BPM"));
    let mut lines = vec![heard, format!("Transport: {transport}{tempo}")];
    lines.extend(tapping::counted(view));
    lines
}

/// Text laid out from the top down.
struct Column<'a> {
    pen: &'a Pen<'a>,
    rect: Rect,
    y: f32,
}

impl Column<'_> {
    fn say(&mut self, text: &str, size: f32, color: Color32, above: f32) {
        let line = self.pen.wrapped(text, size, color, self.rect.width());
        self.y = line.paint(pos2(self.rect.left(), self.y + above), Align2::LEFT_TOP).bottom();
    }

    /// The same, if it fits.
    fn say_if_there_is_room(&mut self, text: &str, size: f32, color: Color32, above: f32) {
        let line = self.pen.wrapped(text, size, color, self.rect.width());
        if self.y + above + line.size().y <= self.rect.bottom() {
            self.say(text, size, color, above);
        }
    }

    /// `large` if `text` fits on one row, or if not even `small` does; otherwise `small`.
    fn one_row_size(&self, text: &str, large: f32, small: f32) -> f32 {
        let fits = |size| self.pen.width(text, size) <= self.rect.width();
        if !fits(large) && fits(small) { small } else { large }
    }

    fn step(&mut self, text: &str, done: bool) {
        let (pen, theme) = (self.pen, self.pen.theme());
        let indent = pen.len(24.0);
        let color = if done { theme.ink_soft } else { theme.ink };
        let room = self.rect.width() - indent;
        let line = pen.wrapped(text, pen.style.large.min(room / 8.0), color, room);
        let at = pos2(self.rect.left() + indent, self.y + pen.len(6.0));
        let place = line.paint(at, Align2::LEFT_TOP);
        let radius = pen.len(6.5);
        let sign = pos2(self.rect.left() + radius, place.center().y);
        if done {
            paint_tick(pen, sign, radius);
        } else {
            let ring = Stroke::new(pen.len(1.5), theme.ink_soft);
            pen.painter().circle_stroke(sign, radius - pen.len(1.0), ring);
        }
        self.y = place.bottom();
    }
}

fn paint_tick(pen: &Pen<'_>, at: Pos2, radius: f32) {
    let stroke = Stroke::new(pen.len(2.2), pen.theme().calm);
    let points = vec![
        at + vec2(-radius * 0.8, 0.0),
        at + vec2(-radius * 0.15, radius * 0.65),
        at + vec2(radius * 0.9, -radius * 0.7),
    ];
    pen.painter().line(points, stroke);
}
