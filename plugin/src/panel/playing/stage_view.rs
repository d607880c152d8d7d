//! Three things to be read from four metres: the share, the last phrases, the alert. A letter reads
//! well at a height of 1/200 of the distance (common practice in signage, no published source), which
//! is 20 mm at four metres. In a window as wide as a small laptop's screen the alert is about that
//! high, the share several times that.

use crate::command::action::Action;
use crate::panel::playing::{alert, phrase_row};
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::tabs::ACROSS;
use crate::panel::view::View;
use crate::panel::widgets::button;
use crate::panel::widgets::phrase_mark::{End, Mark};
use crate::panel::widgets::text::Line;
use crate::panel::words;
use crate::view_model::setting::Adjustment;
use egui::{
    Align2, Color32, CornerRadius, Painter, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use overbar_core::figures::FEW_PHRASES;
use overbar_core::phrase::Phrase;
use overbar_core::phrase::bar_line::start_from_line;

/// Phrases shown.
const PHRASES: usize = 5;

/// The button that leads back.
pub const ACROSS_BACK: &str = "Whole panel";

/// Text that does not fit is tried again at this share of its size.
const SHRINK: f32 = 0.93;

/// Text is set on one row if its size keeps this share. Chosen by eye.
const HARDLY_SMALLER: f32 = 0.7;

/// The stage view, filling `window`.
pub fn across(
    ui: &mut Ui,
    style: &Style,
    window: Rect,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let size = button::size(ui.painter(), style, ACROSS_BACK);
    let place = Rect::from_min_size(
        pos2(window.right() - size.x - style.len(6.0), window.top() + style.len(5.0)),
        size,
    );
    let (body, foot) = match view.alerts().first() {
        None => (window, None),
        Some(first) => {
            let (body, foot) =
                window.split_top_bottom_at_y(window.bottom() - window.height() * 0.32);
            (body, Some((foot, first)))
        }
    };
    let now = ui.input(|input| input.time);
    state.arrived(view.alerts().first(), now);
    let inset = vec2(style.margin, style.len(10.0));
    let (left, right) = body.split_left_right_at_fraction(0.46);
    share(ui, style, left.shrink2(inset), view);
    let right = Rect::from_min_max(
        pos2(right.left() + inset.x, place.bottom() + style.len(4.0)),
        right.max - inset,
    );
    last_phrases(ui, style, right, view);
    if let Some((foot, first)) = foot {
        let response = ui.interact(foot, ui.scope_id().with("far alert"), Sense::hover());
        let label = format!("alert: {} {}", first.heard(), first.advice());
        response.widget_info(|| WidgetInfo::labeled(Role::Alert, true, &label));
        let painter = ui.painter();
        painter.rect_filled(foot, CornerRadius::ZERO, style.theme.alert_ground);
        let side = foot.height() * 0.42;
        let sign = Rect::from_center_size(
            pos2(foot.left() + inset.x + side * 0.6, foot.center().y),
            vec2(side * 1.1, side),
        );
        alert::paint_sign(painter, style, sign);
        let area = Rect::from_min_max(
            pos2(sign.right() + inset.x, foot.top() + 4.0),
            foot.max - vec2(inset.x, 4.0),
        );
        say_large(painter, style, &[&first.heard(), first.advice()], area);
    }
    if button::button(ui, style, place, ACROSS_BACK, "Back to the whole panel", true).clicked() {
        acts.push(Action::Set { id: ACROSS.to_owned(), to: Adjustment::Less });
    }
}

/// Sets `texts` one under the other as large as fits `area`, each on one row where that is hardly
/// smaller. No word is broken.
pub fn say_large(painter: &Painter, style: &Style, texts: &[&str], area: Rect) {
    let ink = style.theme.ink;
    let width = |text: &str, size: f32| Line::new(painter, text, size, ink).width();
    let set = |size: f32| -> Vec<Line> {
        let line = |text: &&str| Line::wrapped(painter, *text, size, ink, area.width());
        texts.iter().map(line).collect()
    };
    let height = |lines: &[Line]| lines.iter().map(|line| line.size().y).sum::<f32>();
    let fits = |size: f32| {
        let mut words = texts.iter().flat_map(|text| text.split_whitespace());
        words.all(|word| width(word, size) <= area.width()) && height(&set(size)) <= area.height()
    };
    let mut size = area.height() * 0.5;
    while !fits(size) && size > style.small {
        size *= SHRINK;
    }
    let one_row = texts.iter().map(|text| width(text, size)).fold(0.0, f32::max);
    let on_one_row = size * area.width() / one_row.max(1.0) * 0.99;
    if on_one_row < size && on_one_row >= size * HARDLY_SMALLER {
        size = on_one_row;
    }
    let lines = set(size);
    let mut y = area.center().y - height(&lines) / 2.0;
    for line in lines {
        y = line.paint(painter, pos2(area.left(), y), Align2::LEFT_TOP).bottom();
    }
}

fn share(ui: &mut Ui, style: &Style, area: Rect, view: &View<'_>) {
    let entries = view.snapshot.figures.off_beat_entries;
    let words = match entries.share() {
        Some(share) => {
            let few = if entries.of < FEW_PHRASES { ", few phrases yet" } else { "" };
            let of = words::of_phrases(entries);
            format!("{} start off the beat, {of}{few}", words::percent(share))
        }
        None => "no phrase yet".to_owned(),
    };
    let response = ui.interact(area, ui.scope_id().with("far share"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    let painter = ui.painter();
    let theme = &style.theme;
    let Some(share) = entries.share() else {
        say_large(painter, style, &["no phrase", "yet"], area);
        return;
    };
    let ink = if entries.of < FEW_PHRASES { theme.ink_soft } else { theme.ink };
    let digits = |size: f32| Line::strong(painter, format!("{:.0}", share * 100.0), size, ink);
    let sign = |size: f32| Line::new(painter, "%", size * 0.42, theme.ink_soft);
    let width = |size: f32| digits(size).width() + sign(size).width() + size * 0.08;
    let mut size = area.height() * 0.72;
    if width(size) > area.width() {
        size *= area.width() / width(size);
    }
    let caption =
        Line::new(painter, "start off the beat", (size * 0.15).max(style.body), theme.ink);
    let count = Line::new(
        painter,
        words::of_phrases(entries),
        (size * 0.13).max(style.small),
        theme.ink_soft,
    );
    let ink_height = digits(size).ink().height();
    let gap = size * 0.08;
    let total = ink_height + gap + caption.size().y + count.size().y;
    let foot = area.center().y - total / 2.0 + ink_height;
    let placed = digits(size).stand(painter, area.left(), foot);
    sign(size).stand(painter, placed.right() + size * 0.06, foot);
    let below = caption.paint(painter, pos2(area.left(), foot + gap), Align2::LEFT_TOP);
    count.paint(painter, below.left_bottom(), Align2::LEFT_TOP);
}

/// The last phrases, each with its place in words and its bar on the bar line.
fn last_phrases(ui: &mut Ui, style: &Style, area: Rect, view: &View<'_>) {
    let phrases = &view.snapshot.phrases;
    let shown = phrases.get(phrases.len().saturating_sub(PHRASES)..).unwrap_or_default();
    let response = ui.interact(area, ui.scope_id().with("far phrases"), Sense::hover());
    response.widget_info(|| {
        let words: Vec<String> = shown.iter().map(words::phrase).collect();
        WidgetInfo::labeled(Role::Label, true, format!("last phrases: {}", words.join("; ")))
    });
    if shown.is_empty() {
        return;
    }
    let painter = ui.painter();
    let theme = &style.theme;
    let pitch = area.height() / PHRASES as f32;
    let label = |phrase: &Phrase, size: f32, ink: Color32| {
        Line::new(painter, words::place(&phrase.entry), size, ink)
    };
    let widest = |size: f32| {
        shown.iter().map(|phrase| label(phrase, size, theme.ink).width()).fold(0.0, f32::max)
    };
    let mut size = (pitch * 0.62).max(style.small);
    let room = area.width() * 0.5;
    if widest(size) > room {
        size *= room / widest(size);
    }
    let lane = area.left() + widest(size) + style.len(12.0);
    let longest = shown.iter().map(phrase_row::room).fold(2.0, f64::max).min(8.0);
    let bar = (area.right() - lane) / (longest as f32 + 0.37);
    let line = lane + 0.37 * bar;
    for (place, phrase) in shown.iter().enumerate() {
        let middle = area.top() + (place as f32 + 0.5) * pitch;
        let ink = theme.ink;
        label(phrase, size, ink).paint(painter, pos2(area.left(), middle), Align2::LEFT_CENTER);
        let thick = pitch * 0.52;
        let left = (line + start_from_line(&phrase.entry) as f32 * bar).max(lane);
        let right =
            (line + phrase_row::end(phrase) as f32 * bar).clamp(left + thick * 0.8, area.right());
        let y = middle - thick / 2.0..=middle + thick / 2.0;
        let rect = Rect::from_x_y_ranges(left..=right, y);
        let mark = Mark::of(phrase.entry.class);
        mark.paint(painter, theme, rect, End::Left);
        if phrase.boundary.status == overbar_core::segmentation::BoundaryStatus::Provisional {
            mark.hollow(painter, theme, rect);
        }
    }
    painter.vline(line, area.y_range(), Stroke::new(style.len(3.0), theme.ink));
}
