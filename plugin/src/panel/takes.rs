//! The takes there are, with the few figures a list has room for. One of them is shown under
//! “Playing”.

use super::act::Act;
use super::state::{PanelState, Tab};
use super::style::Style;
use super::text::{self, Line};
use super::{View, button, help, words};
use crate::ask::Ask;
use egui::{
    Align2, CornerRadius, Painter, Rangef, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo,
    pos2, vec2,
};
use overbar_core::stats::Share;
use overbar_core::take_list::{TakeFigures, TakeRow};

const NO_TAKES: &str = "No takes yet. One begins when the transport rolls and something is played.";

/// The columns after the take's name: what they are called, at length and in short, and their
/// part of the width.
const COLUMNS: [(&str, &str, f32); 5] = [
    ("time", "time", 0.11),
    ("phrases", "phr.", 0.13),
    ("start off the beat", "off beat", 0.24),
    ("start on beat one", "on one", 0.22),
    ("median bars", "bars", 0.13),
];

/// The list, over the whole of `ui`.
pub fn takes(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Act>,
) {
    let area = ui.max_rect();
    let rows = &view.snapshot.takes;
    if rows.is_empty() {
        let response = ui.interact(area, ui.scope_id().with("none"), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, NO_TAKES));
        let soft = style.theme.ink_soft;
        let line = Line::wrapped(ui.painter(), NO_TAKES, style.body, soft, area.width());
        line.paint(ui.painter(), area.min, Align2::LEFT_TOP);
        return;
    }
    let side = style.len(14.0);
    let list = area.with_max_x(area.right() - side);
    let columns = Columns::new(list);
    let head = head(ui, style, &columns);
    let pitch = button::height(style) + style.len(7.0);
    let below = list.with_min_y(head.bottom() + style.len(3.0));
    let fit = (below.height() / pitch).max(1.0) as usize;
    let all = 0..rows.len();
    state.takes.wheel(ui, area, pitch, &all, fit);
    let sight = state.takes.sight(all.clone(), fit);
    for (place, take) in rows.get(sight).unwrap_or_default().iter().enumerate() {
        let top = below.top() + place as f32 * pitch;
        let lane = Rect::from_min_size(pos2(list.left(), top), vec2(list.width(), pitch));
        let shown = take.number == view.snapshot.take;
        if one(ui, style, &columns, lane, take, shown).clicked() {
            let newest = usize::try_from(take.number).is_ok_and(|number| number == rows.len());
            acts.push(Act::Ask(Ask::LookAt((!newest).then_some(take.number))));
            state.note = None;
            state.look.tab = Tab::Playing;
        }
    }
    let bar = Rect::from_x_y_ranges(area.right() - side * 0.8..=area.right(), below.y_range());
    state.takes.bar(ui, style, bar, "takes", &all, fit);
}

/// Where the columns lie.
struct Columns {
    list: Rect,
}

impl Columns {
    fn new(list: Rect) -> Self {
        Self { list }
    }

    /// The first column, and the `number`th after it.
    fn name(&self) -> Rangef {
        let others: f32 = COLUMNS.iter().map(|(_, _, part)| part).sum();
        Rangef::new(self.list.left(), self.list.left() + self.list.width() * (1.0 - others))
    }

    fn at(&self, number: usize) -> Rangef {
        let part = |columns: &[(&str, &str, f32)]| columns.iter().map(|c| c.2).sum::<f32>();
        let from = self.name().max + part(&COLUMNS[..number]) * self.list.width();
        Rangef::new(from, from + COLUMNS[number].2 * self.list.width())
    }
}

fn head(ui: &mut Ui, style: &Style, columns: &Columns) -> Rect {
    let list = columns.list;
    let area = list.with_max_y(list.top() + style.small * 1.4);
    let response = ui.interact(area, ui.scope_id().with("head"), help::sense());
    response.widget_info(|| {
        let names = COLUMNS.map(|(name, _, _)| name).join(", ");
        WidgetInfo::labeled(Role::Label, true, format!("takes: {names}"))
    });
    let soft = style.theme.ink_soft;
    for (number, (long, short, _)) in COLUMNS.into_iter().enumerate() {
        let x = columns.at(number);
        let texts = [long.to_owned(), short.to_owned()];
        let room = x.span() - style.len(6.0);
        if let Some(line) = text::first_that_fits(ui.painter(), &texts, style.small, soft, room) {
            line.paint(ui.painter(), pos2(x.min, area.top()), Align2::LEFT_TOP);
        }
    }
    let rule = Stroke::new(1.0, style.theme.rule);
    ui.painter().hline(list.x_range(), area.bottom() + 1.0, rule);
    help::explain(ui, style, response, help::TAKES);
    area
}

fn one(
    ui: &mut Ui,
    style: &Style,
    columns: &Columns,
    lane: Rect,
    take: &TakeRow,
    shown: bool,
) -> Response {
    let response = ui.interact(lane, ui.scope_id().with(("take", take.number)), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, shown, label(take)));
    let theme = &style.theme;
    let painter = ui.painter();
    let inner = lane.shrink2(vec2(0.0, 1.0));
    if shown || response.hovered() {
        let from_left = inner.with_min_x(inner.left() - style.len(6.0));
        painter.rect_filled(from_left, CornerRadius::same(3), theme.raised);
    }
    if shown {
        let tick = Rect::from_min_size(
            inner.min - vec2(style.len(6.0), 0.0),
            vec2(style.len(3.0), inner.height()),
        );
        painter.rect_filled(tick, CornerRadius::ZERO, theme.ink);
    }
    let middle = lane.center().y;
    let put = |x: f32, text: String, ink| {
        Line::new(painter, text, style.small, ink).paint(
            painter,
            pos2(x, middle),
            Align2::LEFT_CENTER,
        )
    };
    let name = put(columns.name().min + style.len(2.0), format!("Take {}", take.number), theme.ink);
    if take.under_way {
        painter.circle_filled(
            pos2(name.right() + style.len(8.0), middle),
            style.len(3.0),
            theme.calm,
        );
    }
    put(columns.at(0).min, words::minutes(take.seconds.0), theme.ink_soft);
    match &take.figures {
        None => {
            put(columns.at(1).min, "being read".to_owned(), theme.ink_soft);
        }
        Some(figures) => {
            put(columns.at(1).min, figures.phrases.to_string(), theme.ink);
            share(painter, style, columns.at(2), middle, figures.off_beat);
            share(painter, style, columns.at(3), middle, figures.beat_one);
            let bars = figures.median_bars.map_or_else(|| "–".to_owned(), words::bars);
            put(columns.at(4).min, bars, theme.ink);
        }
    }
    button::focus_ring(painter, style, &response);
    response
}

/// A share in percents, and its interval as a line on a scale from 0 to 100 %.
fn share(painter: &Painter, style: &Style, x: Rangef, middle: f32, share: Share) {
    let theme = &style.theme;
    let (Some(part), Some((low, high))) = (share.share(), share.interval()) else { return };
    let text = Line::new(painter, words::percent(part), style.small, theme.ink);
    let widest = Line::new(painter, "100 %", style.small, theme.ink).width();
    text.paint(painter, pos2(x.min, middle), Align2::LEFT_CENTER);
    let scale = Rangef::new(x.min + widest + style.len(7.0), x.max - style.len(12.0));
    if scale.span() < style.len(24.0) {
        return;
    }
    let at = |part: f64| egui::lerp(scale, part as f32);
    painter.hline(scale, middle, Stroke::new(1.0, theme.rule));
    let whisker = Stroke::new(style.len(2.0), theme.ink_soft);
    painter.hline(at(low)..=at(high), middle, whisker);
    painter.circle_filled(pos2(at(part), middle), style.len(3.2), theme.ink);
}

fn label(take: &TakeRow) -> String {
    let mut label = format!(
        "Take {}, {}, {}",
        take.number,
        words::minutes(take.seconds.0),
        words::count(take.notes, "note", "notes")
    );
    if take.under_way {
        label.push_str(", being played");
    }
    if let Some(TakeFigures { off_beat, beat_one, median_bars, .. }) = &take.figures {
        let share = |share: &Share, what: &str| {
            share.interval().map_or_else(String::new, |interval| {
                let of = words::of_phrases(*share);
                format!(", {of} {what}, 95 % interval {}", words::range(interval))
            })
        };
        label.push_str(&share(off_beat, "start off the beat"));
        label.push_str(&share(beat_one, "start on beat one"));
        if let Some(bars) = median_bars {
            label.push_str(&format!(", half of them shorter than {} bars", words::bars(*bars)));
        }
    }
    if take.by_hand > 0 {
        let set = words::count(take.by_hand, "boundary", "boundaries");
        label.push_str(&format!(", {set} set by hand"));
    }
    label
}
