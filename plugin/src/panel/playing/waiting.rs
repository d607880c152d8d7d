//! Shown instead of the figure while there is none: first steps, or what the host does not report.

use crate::panel::style::Style;
use crate::panel::widgets::text::Line;
use crate::panel::words;
use egui::{
    Align2, Color32, Painter, Pos2, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use overbar_core::session::snapshot::{GridState, Snapshot};
use overbar_core::time::transport::NoGrid;

const NO_GRID: &str = "no beat grid from the host";

/// Why there are no figures: no beat grid. As wide as `ui`.
pub fn no_grid(ui: &mut Ui, style: &Style, why: NoGrid, notes: usize) -> Response {
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
    let kept = format!("{} kept", words::count(notes, "note", "notes"));
    let why = words::no_grid(why);
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Label, true, format!("{NO_GRID}. {why} {kept}, not counted."))
    });

    let theme = &style.theme;
    let mut column = Column { painter: ui.painter(), style, rect, y: rect.top() };
    let size = column.one_row_size(NO_GRID, style.large, style.body);
    column.say(NO_GRID, size, theme.ink, 0.0);
    column.say(why, style.body, theme.ink_soft, style.len(6.0));
    column.say(&kept, style.large, theme.ink, style.len(14.0));
    column.say(
        "without a place in the bar, and so not counted",
        style.caption,
        theme.ink_soft,
        0.0,
    );
    response
}

/// What to do before there is a first phrase. As wide as `ui`.
pub fn first_steps(ui: &mut Ui, style: &Style, snapshot: &Snapshot) -> Response {
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
    let outside = snapshot.notes_outside;
    let loose = snapshot.notes_without_grid;
    let heard = snapshot.notes + outside + loose > 0;
    let steps = [
        ("Route MIDI here", heard),
        ("Start the transport", snapshot.grid == GridState::Rolling),
        ("Play a phrase", false),
    ];
    let asides: Vec<String> = [
        (outside, "outside the chosen channel or keys"),
        (loose, "while the transport stood: kept, not counted"),
    ]
    .into_iter()
    .filter(|(notes, _)| *notes > 0)
    .map(|(notes, why)| format!("{} {why}", words::count(notes, "note", "notes")))
    .collect();
    response.widget_info(|| {
        let steps = steps.map(|(step, done)| format!("{step}{}", if done { ": done" } else { "" }));
        let all = [&steps[..], &asides[..]].concat().join(". ");
        WidgetInfo::labeled(Role::Label, true, all)
    });

    let theme = &style.theme;
    let mut column = Column { painter: ui.painter(), style, rect, y: rect.top() };
    column.say("before the first phrase", style.caption, theme.ink_soft, 0.0);
    column.y += style.len(6.0);
    for (step, done) in steps {
        column.step(step, done);
    }
    for aside in asides {
        column.say(&aside, style.caption, theme.ink_soft, style.len(6.0));
    }
    response
}

/// Text set from the top down.
struct Column<'a> {
    painter: &'a Painter,
    style: &'a Style,
    rect: Rect,
    y: f32,
}

impl Column<'_> {
    fn say(&mut self, text: &str, size: f32, color: Color32, above: f32) {
        let line = Line::wrapped(self.painter, text, size, color, self.rect.width());
        let at = pos2(self.rect.left(), self.y + above);
        self.y = line.paint(self.painter, at, Align2::LEFT_TOP).bottom();
    }

    /// `large` where `text` fits on one row or not even `small` does; else `small`.
    fn one_row_size(&self, text: &str, large: f32, small: f32) -> f32 {
        let width = |size| Line::new(self.painter, text, size, self.style.theme.ink).width();
        let fits = |size| width(size) <= self.rect.width();
        if !fits(large) && fits(small) { small } else { large }
    }

    fn step(&mut self, text: &str, done: bool) {
        let style = self.style;
        let indent = style.len(24.0);
        let color = if done { style.theme.ink_soft } else { style.theme.ink };
        let room = self.rect.width() - indent;
        let line = Line::wrapped(self.painter, text, style.large.min(room / 8.0), color, room);
        let at = pos2(self.rect.left() + indent, self.y + style.len(6.0));
        let place = line.paint(self.painter, at, Align2::LEFT_TOP);
        let radius = style.len(6.5);
        let sign = pos2(self.rect.left() + radius, place.center().y);
        if done {
            paint_tick(self.painter, style, sign, radius);
        } else {
            let ring = Stroke::new(style.len(1.5), style.theme.ink_soft);
            self.painter.circle_stroke(sign, radius - style.len(1.0), ring);
        }
        self.y = place.bottom();
    }
}

fn paint_tick(painter: &Painter, style: &Style, at: Pos2, radius: f32) {
    let stroke = Stroke::new(style.len(2.2), style.theme.calm);
    let points = vec![
        at + vec2(-radius * 0.8, 0.0),
        at + vec2(-radius * 0.15, radius * 0.65),
        at + vec2(radius * 0.9, -radius * 0.7),
    ];
    painter.line(points, stroke);
}
