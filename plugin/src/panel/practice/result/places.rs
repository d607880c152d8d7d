//! The positions of hits and misses in the bar: hits on the line, misses below it.

use crate::panel::widgets::{Pen, help};
use egui::{Align2, Pos2, Rangef, Rect, Shape, Stroke, lerp, pos2, vec2};
use overbar_core::practice::{Landing, Landings, Outcome};

/// The bar is drawn from this many pulses before its bar line to as many after its end.
const AROUND: f32 = 0.3;

/// Possible radii of a mark, from large to small, in points of the default window.
const RADII: [f32; 8] = [13.0, 9.0, 6.5, 5.0, 4.0, 3.0, 2.2, 1.5];

/// The picture, filling `area`.
pub fn places(pen: &Pen<'_>, area: Rect, landings: &Landings) {
    let response = pen.explained(area, "places", || label(landings));
    pen.explain(response, help::DRILL_BAR);
    let (painter, theme) = (pen.painter(), pen.theme());
    let digits = pen.style.small * 1.3;
    let head = pen.len(9.0);
    let plot = area.with_min_y(area.top() + head).with_max_y(area.bottom() - digits);
    let x = |pulses: f32| {
        let part = (pulses + AROUND) / (landings.bar + 2.0 * AROUND);
        lerp(area.x_range(), part)
    };
    let below = landings.all.iter().any(|landing| landing.outcome != Outcome::Hit);
    let line = if below { lerp(plot.y_range(), 0.58) } else { plot.bottom() };
    let thick = Stroke::new(pen.len(1.6), theme.ink_soft);
    for end in [0.0, landings.bar] {
        painter.vline(x(end), plot.y_range(), thick);
    }
    painter.hline(x(0.0)..=x(landings.bar), line, Stroke::new(1.0, theme.ink_soft));
    let mut pulse = 0.0;
    while pulse < landings.bar {
        painter.vline(x(pulse), plot.y_range(), Stroke::new(1.0, theme.rule));
        let tick = line - pen.len(2.5)..=line + pen.len(2.5);
        painter.vline(x(pulse), tick, Stroke::new(1.0, theme.ink_soft));
        let digit = pen.soft(format!("{:.0}", pulse + 1.0));
        digit.paint(pos2(x(pulse), area.bottom()), Align2::CENTER_BOTTOM);
        pulse += 1.0;
    }
    for aim in landings.aims.iter() {
        target(pen, pos2(x(*aim), plot.top()), line);
    }
    let up = Rangef::new(plot.top(), line);
    let down = Rangef::new(line, plot.bottom());
    stack(pen, landings, x, (up, line, -1.0), |outcome| outcome == Outcome::Hit);
    stack(pen, landings, x, (down, line, 1.0), |outcome| outcome != Outcome::Hit);
}

/// A triangle pointing at the line, and a hairline to it.
fn target(pen: &Pen<'_>, at: Pos2, line: f32) {
    let (half, high) = (pen.len(4.0), pen.len(7.0));
    let corners = vec![at + vec2(-half, -high), at + vec2(half, -high), at];
    let color = pen.theme().off;
    pen.painter().add(Shape::convex_polygon(corners, color, Stroke::NONE));
    pen.painter().vline(at.x, at.y..=line, Stroke::new(1.0, color));
}

/// Stacks marks that are close together, as large as fits.
fn stack(
    pen: &Pen<'_>,
    landings: &Landings,
    x: impl Fn(f32) -> f32,
    (room, line, way): (Rangef, f32, f32),
    kind: impl Fn(Outcome) -> bool,
) {
    let some: Vec<(f32, &Landing)> = landings
        .all
        .iter()
        .filter(|landing| kind(landing.outcome))
        .map(|landing| (x(landing.pulses), landing))
        .collect();
    let column = |at: f32, radius: f32| (at / (radius * 2.2)).round() as i32;
    let highest = |radius: f32| {
        let mut all: Vec<i32> = some.iter().map(|(at, _)| column(*at, radius)).collect();
        all.sort_unstable();
        all.chunk_by(|a, b| a == b).map(<[i32]>::len).max().unwrap_or(0)
    };
    let radii = RADII.map(|radius| pen.len(radius));
    let fits = |radius: &f32| highest(*radius) as f32 * radius * 2.2 <= room.span();
    let radius = radii.into_iter().find(fits).unwrap_or(radii[radii.len() - 1]);
    // If even the smallest do not fit, they overlap.
    let step = (radius * 2.2).min((room.span() - radius) / highest(radius).max(1) as f32);
    let mut heights: Vec<(i32, f32)> = Vec::new();
    for (at, landing) in &some {
        let column = column(*at, radius);
        let found = heights.iter().position(|(known, _)| *known == column);
        let index = found.unwrap_or_else(|| {
            heights.push((column, 0.0));
            heights.len() - 1
        });
        let height = &mut heights[index].1;
        let away = radius * 1.3 + *height * step;
        *height += 1.0;
        mark(pen, pos2(*at, line + way * away), radius, landing.outcome);
    }
}

/// A dot for a hit, a cross for a note elsewhere, a ring for a missing note.
fn mark(pen: &Pen<'_>, at: Pos2, radius: f32, outcome: Outcome) {
    let (painter, theme) = (pen.painter(), pen.theme());
    let stroke = Stroke::new((radius * 0.42).max(1.0), theme.alert);
    match outcome {
        Outcome::Hit => {
            painter.circle_filled(at, radius, theme.calm);
        }
        Outcome::Elsewhere => {
            let arm = radius * 0.8;
            painter.line_segment([at + vec2(-arm, -arm), at + vec2(arm, arm)], stroke);
            painter.line_segment([at + vec2(-arm, arm), at + vec2(arm, -arm)], stroke);
        }
        Outcome::Missing => {
            painter.circle_stroke(at, radius * 0.8, stroke);
        }
    }
}

fn label(landings: &Landings) -> String {
    let count = |outcome| landings.all.iter().filter(|l| l.outcome == outcome).count();
    let parts = [
        (count(Outcome::Hit), "on target"),
        (count(Outcome::Elsewhere), "elsewhere"),
        (count(Outcome::Missing), "missing"),
        (landings.more as usize, "not drawn"),
    ];
    let counts = parts.iter().filter(|(count, _)| *count > 0);
    let counts: Vec<String> = counts.map(|(count, what)| format!("{count} {what}")).collect();
    format!("places in the bar: {}", counts.join(", "))
}
