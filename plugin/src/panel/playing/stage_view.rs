//! Three things to be read from four metres: the share, the last phrases, the alert. A letter reads
//! well at a height of 1/200 of the distance (common practice in signage, no published source), which
//! is 20 mm at four metres. In a window as wide as a small laptop's screen the alert is about that
//! high, the share several times that.

use crate::panel::frame::Frame;
use crate::panel::playing::{alert, lanes};
use crate::panel::tabs::ACROSS;
use crate::panel::widgets::{End, Line, Mark, Pen};
use crate::panel::words;
use crate::view_model::setting::Adjustment;
use egui::{Align2, CornerRadius, Rect, Role, Stroke, pos2, vec2};
use overbar_core::figures::FEW_PHRASES;
use overbar_core::phrase::Phrase;
use overbar_core::phrase::bar_line::start_from_line;
use overbar_core::segmentation::BoundaryStatus;

/// Phrases shown.
const PHRASES: usize = 5;

const BACK: &str = "Exit stage view";

/// Text that does not fit is tried again at this share of its size.
const SHRINK: f32 = 0.93;

/// Text is set on one row if its size keeps this share. Chosen by eye.
const HARDLY_SMALLER: f32 = 0.7;

/// The stage view, filling `window`.
pub fn across(f: &mut Frame<'_>, window: Rect) {
    let place = back_place(f, window);
    let (body, foot) = match f.view.alerts().first() {
        None => (window, None),
        Some(first) => {
            let (body, foot) =
                window.split_top_bottom_at_y(window.bottom() - window.height() * 0.32);
            (body, Some((foot, first)))
        }
    };
    let now = f.ui.input(|input| input.time);
    f.state.arrived(f.view.alerts().first(), now);
    let inset = vec2(f.style.margin, f.len(10.0));
    let (left, right) = body.split_left_right_at_fraction(0.46);
    share(f, left.shrink2(inset));
    let right = Rect::from_min_max(
        pos2(right.left() + inset.x, place.bottom() + f.len(4.0)),
        right.max - inset,
    );
    last_phrases(f, right);
    if let Some((foot, first)) = foot {
        let label = || format!("alert: {} {}", first.heard(), first.advice());
        f.tell(foot, "far alert", Role::Alert, label);
        f.painter().rect_filled(foot, CornerRadius::ZERO, f.theme().alert_ground);
        let side = foot.height() * 0.42;
        let sign = Rect::from_center_size(
            pos2(foot.left() + inset.x + side * 0.6, foot.center().y),
            vec2(side * 1.1, side),
        );
        alert::paint_sign(f, sign);
        let area = Rect::from_min_max(
            pos2(sign.right() + inset.x, foot.top() + 4.0),
            foot.max - vec2(inset.x, 4.0),
        );
        say_large(f, &[&first.heard(), first.advice()], area);
    }
    back(f, place);
}

/// The place of the button that leads back.
pub fn back_place(pen: &Pen<'_>, window: Rect) -> Rect {
    let size = pen.button_size(BACK);
    let corner = pos2(window.right() - size.x - pen.len(6.0), window.top() + pen.len(5.0));
    Rect::from_min_size(corner, size)
}

/// The button that leads back, over `place`.
pub fn back(f: &mut Frame<'_>, place: Rect) {
    if f.button(place, BACK, BACK, true).clicked() {
        f.set(ACROSS, Adjustment::Less);
    }
}

/// Sets `texts` one under the other as large as fits `area`, each on one row where that is hardly
/// smaller. No word is broken.
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
            format!("{} start off the beat, {of}{few}", words::percent(share))
        }
        None => "no phrase yet".to_owned(),
    };
    f.label(area, "far share", || words.clone());
    let theme = f.theme();
    let Some(share) = entries.share() else {
        return say_large(f, &["no phrase", "yet"], area);
    };
    let ink = if entries.of < FEW_PHRASES { theme.ink_soft } else { theme.ink };
    let digits = |size: f32| f.strong(format!("{:.0}", share * 100.0), size, ink);
    let sign = |size: f32| f.line("%", size * 0.42, theme.ink_soft);
    let width = |size: f32| digits(size).width() + sign(size).width() + size * 0.08;
    let size = Pen::shrunk(area.height() * 0.72, area.width(), width);
    let caption = f.line("start off the beat", (size * 0.15).max(f.style.body), theme.ink);
    let count_size = (size * 0.13).max(f.style.small);
    let count = f.line(words::of_phrases(entries), count_size, theme.ink_soft);
    let ink_height = digits(size).ink().height();
    let gap = size * 0.08;
    let total = ink_height + gap + caption.size().y + count.size().y;
    let foot = area.center().y - total / 2.0 + ink_height;
    let placed = digits(size).stand(area.left(), foot);
    sign(size).stand(placed.right() + size * 0.06, foot);
    let below = caption.paint(pos2(area.left(), foot + gap), Align2::LEFT_TOP);
    count.paint(below.left_bottom(), Align2::LEFT_TOP);
}

/// The last phrases, each with its place in words and its bar on the bar line.
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
