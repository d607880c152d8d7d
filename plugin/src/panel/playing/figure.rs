//! The big figure: the share of phrases that start off the beat.

use crate::panel::playing::interval;
use crate::panel::style::Style;
use crate::panel::widgets::{Line, Pen, help};
use crate::panel::words;
use egui::{Align2, Rect, Response, Role, WidgetInfo, pos2, vec2};
use overbar_core::phrase::figures::FEW_PHRASES;
use overbar_core::stats::Share;
use overbar_core::time::metre::Metre;

const CAPTION: &str = "off-beat starts";

/// Middle half (lower to upper quartile) of the shares of off-beat starts in recorded solos in 4/4, from 0 to
/// 1. Source: Weimar Jazz Database (Pfleiderer and others 2017).
pub const OFF_BEAT_STARTS: (f64, f64) = (0.51, 0.80);

/// The figure with its count and its interval, as wide as its area.
pub fn figure(pen: &mut Pen<'_>, entries: Share, metre: Metre) -> Response {
    let few = entries.of < FEW_PHRASES;
    let norm = (metre == Metre::COMMON).then_some(OFF_BEAT_STARTS);
    let parts = Parts::new(pen, entries, few);
    let room = pen.ui.available_size() - vec2(0.0, parts.height(pen.style));
    let legend = interval::Legend::new(pen, entries, norm, room);
    let size = vec2(room.x, parts.height(pen.style) + legend.height(pen.style));
    let (rect, response) = pen.ui.allocate_exact_size(size, help::sense());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, label(entries, few, norm)));

    let foot = parts.paint(pen, rect);
    legend.paint(pen, rect.with_min_y(foot));
    pen.explain(response, help::OFF_BEAT)
}

fn label(entries: Share, few: bool, norm: Option<(f64, f64)>) -> String {
    let mut label = format!(
        "{} {CAPTION}, {}",
        entries.share().map_or_else(String::new, words::percent),
        words::of_phrases(entries)
    );
    if few {
        label.push_str(", not enough phrases yet");
    }
    if let Some(interval) = entries.interval() {
        label.push_str(&format!(", likely range {}", words::range(interval)));
    }
    if let Some(norm) = norm {
        label.push_str(&format!(", recorded jazz solos {}", words::range(norm)));
    }
    label
}

struct Parts {
    caption: Line,
    digits: Line,
    sign: Line,
    count: Line,
    few: Option<Line>,
}

impl Parts {
    fn new(pen: &Pen<'_>, entries: Share, few: bool) -> Self {
        let theme = pen.theme();
        let percent = entries.share().unwrap_or_default() * 100.0;
        // A figure from few phrases is dimmed.
        let ink = if few { theme.ink_soft } else { theme.ink };
        Self {
            caption: pen.line(CAPTION, pen.style.caption, theme.ink_soft),
            digits: pen.strong(format!("{percent:.0}"), pen.style.huge, ink),
            sign: pen.line("%", pen.style.huge * 0.5, theme.ink_soft),
            count: pen.line(words::of_phrases(entries), pen.style.body, theme.ink),
            few: few.then(|| pen.line("not enough phrases yet", pen.style.caption, theme.ink)),
        }
    }

    fn height(&self, style: &Style) -> f32 {
        self.caption.size().y
            + style.len(11.0)
            + self.digits.ink().height()
            + style.len(8.0)
            + self.count.size().y
            + self.few.as_ref().map_or(0.0, |few| few.size().y)
    }

    /// Returns its bottom.
    fn paint(&self, pen: &Pen<'_>, rect: Rect) -> f32 {
        let caption = self.caption.paint(rect.min, Align2::LEFT_TOP);
        let foot = caption.bottom() + pen.len(11.0) + self.digits.ink().height();
        let digits = self.digits.stand(rect.left(), foot);
        self.sign.stand(digits.right() + pen.len(5.0), foot);
        let at = pos2(rect.left(), foot + pen.len(8.0));
        let count = self.count.paint(at, Align2::LEFT_TOP);
        match &self.few {
            Some(few) => few.paint(count.left_bottom(), Align2::LEFT_TOP).bottom(),
            None => count.bottom(),
        }
    }
}
