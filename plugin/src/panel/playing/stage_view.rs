//! Three things to read at four metres: state and beat, the share over its band, the alert. A letter is
//! legible at a height of 1/200 of the distance (common practice in signage, no published source), which is
//! 20 mm at four metres. In a window the size of a small laptop's screen the three are that high. The last
//! phrases are beside them.

use crate::panel::frame::Frame;
use crate::panel::header;
use crate::panel::playing::figure::OFF_BEAT_STARTS;
use crate::panel::playing::interval::Legend;
use crate::panel::playing::{alert, lanes, waiting};
use crate::panel::tabs::ACROSS;
use crate::panel::widgets::{End, Line, Mark, Pen, split_top};
use crate::panel::words;
use crate::view_model::setting::Adjustment;
use egui::{Align2, CornerRadius, Rect, Role, Stroke, pos2, vec2};
use overbar_core::phrase::Phrase;
use overbar_core::phrase::alerts::Alert;
use overbar_core::phrase::bar_line::start_from_line;
use overbar_core::phrase::figures::FEW_PHRASES;
use overbar_core::segmentation::BoundaryStatus;
use overbar_core::time::metre::Metre;

/// Phrases shown.
const PHRASES: usize = 5;

const BACK: &str = "Exit stage view";

/// Text that does not fit is shrunk by this factor until it does.
const SHRINK: f32 = 0.93;

/// Text goes on one row if that keeps at least this share of its size. Chosen by eye.
const HARDLY_SMALLER: f32 = 0.7;

/// Shares of the window's height for the state and for the alert. At 1280 × 800 points their capitals are
/// then 20 mm high at 96 dots an inch; a test checks it.
const STATE_SHARE: f32 = 0.165;
const ALERT_SHARE: f32 = 0.19;

/// The stage view, filling `window`.
pub fn stage_view(f: &mut Frame<'_>, window: Rect) {
    let place = back_place(f, window);
    let inset = vec2(f.style.margin, f.len(10.0));
    let (top, rest) = split_top(window, window.height() * STATE_SHARE);
    let state = top.with_max_x(place.left() - inset.x).with_min_x(top.left() + inset.x);
    header::large(f, state.with_min_y(state.top() + f.len(3.0)));
    let now = f.ui.input(|input| input.time);
    let alerts = f.view.alerts();
    f.state.alert_fade(alerts.first(), now);
    let body = match alerts.first() {
        None => rest,
        Some(first) => {
            let high = window.height() * ALERT_SHARE;
            let (body, foot) = split_top(rest, rest.height() - high);
            far_alert(f, first, foot);
            body
        }
    };
    let (left, right) = body.split_left_right_at_fraction(0.46);
    share(f, left.shrink2(inset));
    let right = right.with_min_y(right.top().max(place.bottom()));
    last_phrases(f, right.shrink2(inset));
    back(f, place);
}

/// The alert, in as few words as possible.
fn far_alert(f: &mut Frame<'_>, alert: &Alert, foot: Rect) {
    let label = || format!("alert: {} {}", alert.heard(), alert.advice());
    f.tell(foot, "far alert", Role::Alert, label);
    f.painter().rect_filled(foot, CornerRadius::ZERO, f.theme().alert_ground);
    let side = foot.height() * 0.7;
    let corner = pos2(foot.left() + f.style.margin, foot.center().y - side / 2.0);
    let sign = Rect::from_min_size(corner, vec2(side * 1.1, side));
    alert::paint_sign(f, sign);
    let area = foot.with_min_x(sign.right() + side * 0.3).with_max_x(foot.right() - f.style.margin);
    let text = words::alert_at_a_glance(alert);
    let line = |size: f32| f.strong(text.as_str(), size, f.theme().ink);
    let size = Pen::shrunk(foot.height() / 1.25, area.width(), |size| line(size).width());
    line(size).paint(area.left_center(), Align2::LEFT_CENTER);
}

/// The place of the button that exits the stage view.
pub fn back_place(pen: &Pen<'_>, window: Rect) -> Rect {
    let size = pen.button_size(BACK);
    let corner = pos2(window.right() - size.x - pen.len(6.0), window.top() + pen.len(5.0));
    Rect::from_min_size(corner, size)
}

/// The button that exits the stage view, over `place`.
pub fn back(f: &mut Frame<'_>, place: Rect) {
    if f.button(place, BACK, BACK, true).clicked() {
        f.set(ACROSS, Adjustment::Less);
    }
}

/// Writes `texts` one below the other as large as fits `area`, each on one row if that costs little size. No
/// word is broken.
pub fn say_large(pen: &Pen<'_>, texts: &[&str], area: Rect) {
    let ink = pen.theme().ink;
    let set = |size: f32| -> Vec<Line> {
        let line = |text: &&str| pen.wrapped(*text, size, ink, area.width());
        texts.iter().map(line).collect()
    };
    let height = |lines: &[Line]| lines.iter().map(|line| line.size().y).sum::<f32>();
    let fits = |size: f32| {
        let mut words = texts.iter().flat_map(|text| text.split_whitespace());
        words.all(|word| pen.width(word, size) <= area.width())
            && height(&set(size)) <= area.height()
    };
    let mut size = area.height() * 0.5;
    while !fits(size) && size > pen.style.small {
        size *= SHRINK;
    }
    let one_row = texts.iter().map(|text| pen.width(*text, size)).fold(0.0, f32::max);
    let on_one_row = size * area.width() / one_row.max(1.0) * 0.99;
    if on_one_row < size && on_one_row >= size * HARDLY_SMALLER {
        size = on_one_row;
    }
    let lines = set(size);
    let mut y = area.center().y - height(&lines) / 2.0;
    for line in lines {
        y = line.paint(pos2(area.left(), y), Align2::LEFT_TOP).bottom();
    }
}

fn share(f: &mut Frame<'_>, area: Rect) {
    let entries = f.view.snapshot.figures.off_beat_entries;
    let words = match entries.share() {
        Some(share) => {
            let few = if entries.of < FEW_PHRASES { ", few phrases yet" } else { "" };
            let of = words::of_phrases(entries);
            format!("{} off-beat starts, {of}{few}", words::percent(share))
        }
        None => waiting::next_step(f.view).to_owned(),
    };
    f.label(area, "far share", || words.clone());
    let theme = f.theme();
    let Some(share) = entries.share() else {
        return say_large(f, &[waiting::next_step(f.view)], area);
    };
    let ink = if entries.of < FEW_PHRASES { theme.ink_soft } else { theme.ink };
    let digits = |size: f32| f.strong(format!("{:.0}", share * 100.0), size, ink);
    let sign = |size: f32| f.line("%", size * 0.42, theme.ink_soft);
    let width = |size: f32| digits(size).width() + sign(size).width() + size * 0.08;
    let small = |size: f32, part: f32| (size * part).max(f.style.small);
    let caption = |size: f32| f.line("off-beat starts", small(size, 0.17), theme.ink);
    let count = |size: f32| f.line(words::of_phrases(entries), small(size, 0.15), theme.ink_soft);
    let (gap, band) = (0.09, 0.16);
    let height = |size: f32| {
        let text = caption(size).size().y + count(size).size().y;
        digits(size).ink().height() + (gap * 2.0 + band) * size + text
    };
    let mut size = Pen::shrunk(area.height(), area.width(), width);
    while height(size) > area.height() && size > f.style.small {
        size *= SHRINK;
    }
    let foot = area.center().y - height(size) / 2.0 + digits(size).ink().height();
    let placed = digits(size).stand(area.left(), foot);
    sign(size).stand(placed.right() + size * 0.06, foot);
    let track = pos2(area.left(), foot + gap * size);
    let track = Rect::from_min_size(track, vec2(area.width(), band * size));
    let norm = (f.view.metre() == Metre::COMMON).then_some(OFF_BEAT_STARTS);
    Legend::scale(f, entries, norm, track);
    let at = track.left_bottom() + vec2(0.0, gap * size);
    let below = caption(size).paint(at, Align2::LEFT_TOP);
    count(size).paint(below.left_bottom(), Align2::LEFT_TOP);
}

/// The last phrases, each with its position in words and its bar in the lane.
fn last_phrases(f: &mut Frame<'_>, area: Rect) {
    let phrases = &f.view.snapshot.phrases;
    let shown = phrases.get(phrases.len().saturating_sub(PHRASES)..).unwrap_or_default();
    f.label(area, "far phrases", || {
        let words: Vec<String> = shown.iter().map(words::phrase).collect();
        format!("last phrases: {}", words.join("; "))
    });
    if shown.is_empty() {
        return;
    }
    let (painter, theme) = (f.painter(), f.theme());
    let pitch = area.height() / PHRASES as f32;
    let label = |phrase: &Phrase, size: f32| f.line(words::place(&phrase.entry), size, theme.ink);
    let widest =
        |size: f32| shown.iter().map(|phrase| label(phrase, size).width()).fold(0.0, f32::max);
    let size = Pen::shrunk((pitch * 0.62).max(f.style.small), area.width() * 0.5, widest);
    let lane = area.left() + widest(size) + f.len(12.0);
    let longest = shown.iter().map(lanes::room).fold(2.0, f64::max).min(8.0);
    let bar = (area.right() - lane) / (longest as f32 + 0.37);
    let line = lane + 0.37 * bar;
    for (place, phrase) in shown.iter().enumerate() {
        let middle = area.top() + (place as f32 + 0.5) * pitch;
        label(phrase, size).paint(pos2(area.left(), middle), Align2::LEFT_CENTER);
        let thick = pitch * 0.52;
        let left = (line + start_from_line(&phrase.entry) as f32 * bar).max(lane);
        let right =
            (line + lanes::end(phrase) as f32 * bar).clamp(left + thick * 0.8, area.right());
        let y = middle - thick / 2.0..=middle + thick / 2.0;
        let rect = Rect::from_x_y_ranges(left..=right, y);
        let mark = Mark::of(phrase.entry.class);
        mark.paint(painter, theme, rect, End::Left);
        if phrase.boundary.status == BoundaryStatus::Provisional {
            mark.hollow(painter, theme, rect);
        }
    }
    painter.vline(line, area.y_range(), Stroke::new(f.len(3.0), theme.ink));
}
