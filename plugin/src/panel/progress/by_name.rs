//! One figure by player and by tune, side by side: a small picture each, all on one scale, so that a teacher
//! sees a whole class.

use crate::command::action::Action;
use crate::panel::frame::{Frame, List};
use crate::panel::progress::sentences::in_words;
use crate::panel::progress::weeks::weeks;
use crate::panel::state::past::NameOf;
use crate::panel::takes::caption;
use crate::panel::widgets::{beside_a_bar, help, split_top};
use crate::panel::words;
use crate::view_model::progress::{NamedProgress, ProgressView};
use egui::{Align2, Rect, Role, Sense, WidgetInfo, pos2, vec2};
use overbar_core::output::words::capital;
use overbar_core::study::progress::Progress;

/// Minimum width of a picture, and minimum and maximum height with its text, in points at the default size.
const MIN_WIDTH: f32 = 138.0;
const HEIGHTS: (f32, f32) = (78.0, 150.0);

/// Pictures in a row, with a heading above the first row of a group.
type Row<'a> = (Option<&'static str>, NameOf, &'a [NamedProgress]);

/// From this width on, players and tunes are beside the figures. In points at the default size.
pub const WIDE: f32 = 760.0;

/// Whether there is anything to show side by side.
pub fn is_there(past: &ProgressView) -> bool {
    past.by_player.len() > 1 || past.by_tune.len() > 1
}

/// The pictures, filling their area.
pub fn by_name(f: &mut Frame<'_>, past: &ProgressView, found: &Progress) {
    let area = f.area();
    let figure = found.figures.get(f.state.past.figure).or(found.figures.first());
    let Some(figure) = figure else { return };
    let title = capital(figure.measure.words());
    let line = f.wrapped(&title, f.style.body, f.theme().ink, area.width());
    let (head, below) = split_top(area, line.size().y + f.len(4.0));
    line.paint(head.min, Align2::LEFT_TOP);
    f.label(head, "by name", || format!("{title}, by player and by tune"));
    let width = beside_a_bar(f.style, below).width();
    let columns = ((width / f.len(MIN_WIDTH)) as usize).max(1);
    let groups =
        [("by player", NameOf::Player, &past.by_player), ("by tune", NameOf::Tune, &past.by_tune)];
    let rows =
        groups.into_iter().filter(|(_, _, all)| !all.is_empty()).flat_map(|(name, of, all)| {
            let rows = all.chunks(columns).enumerate();
            rows.map(move |(at, row): (usize, _)| ((at == 0).then_some(name), of, row))
        });
    let rows: Vec<Row<'_>> = rows.collect();
    let high = f.style.small * 1.4;
    let (min, max) = (f.len(HEIGHTS.0) + high, f.len(HEIGHTS.1) + high);
    let pitch = (below.height() / rows.len().max(1) as f32).clamp(min, max);
    let wide = width / columns as f32;
    let list =
        List::new("players and tunes", below, (pitch, rows.len()), |state| &mut state.past.scroll);
    f.list(list, |f, index, lane| {
        let (name, of, row) = rows[index];
        let under = match name {
            Some(name) => caption(f, lane, name),
            None => lane,
        };
        for (place, one) in row.iter().enumerate() {
            let left = under.left() + place as f32 * wide;
            let x = left..=left + wide - f.len(8.0);
            let cell = Rect::from_x_y_ranges(x, under.top()..=under.bottom() - f.len(6.0));
            picture(f, cell, (index * columns + place, of, one), past);
        }
    });
}

/// Shows the progress of this player, or on this tune; `None` for all.
pub fn choose(f: &mut Frame<'_>, past: &ProgressView, of: NameOf, name: Option<String>) {
    let mut filter = past.filter.clone();
    match of {
        NameOf::Player => filter.player = name,
        NameOf::Tune => filter.tune = name,
    }
    f.acts.push(Action::Progress(filter));
}

/// A name, its weeks, and the latest value; a press chooses it.
fn picture(
    f: &mut Frame<'_>,
    cell: Rect,
    (at, of, one): (usize, NameOf, &NamedProgress),
    past: &ProgressView,
) {
    let response = f.interact(cell, ("picture", at), Sense::click());
    let figure = one.progress.figures.get(f.state.past.figure);
    let [now, before] = figure.map_or_else(Default::default, |of| in_words(of, &one.progress));
    let takes = words::count(one.progress.takes, "take", "takes");
    response.widget_info(|| {
        let spoken = [&now, &before].map(|texts| texts.first().map_or("", String::as_str));
        let label = format!("{}, {takes}: {}", one.name, spoken.join("; "));
        WidgetInfo::labeled(Role::Button, true, label)
    });
    f.chosen_ground(cell, false, &response);
    let (size, high) = (f.style.small, f.style.small * 1.4);
    let inner = cell.shrink2(vec2(f.len(2.0), 0.0));
    let count = f.soft(&takes);
    let room = inner.width() - count.width() - f.len(6.0);
    let name = f.cut(&one.name, size, f.theme().ink, room.max(inner.width() * 0.5));
    let placed = name.paint(inner.left_top(), Align2::LEFT_TOP);
    if placed.right() + f.len(6.0) + count.width() <= inner.right() {
        count.paint(inner.right_top(), Align2::RIGHT_TOP);
    }
    let chart = inner.with_min_y(inner.top() + high).with_max_y(inner.bottom() - high);
    if let Some(figure) = figure {
        weeks(f, chart, figure);
    }
    let font = (size, f.theme().ink_soft);
    let at = pos2(inner.left(), inner.bottom());
    f.write_fitting(&now, font, inner.width(), at, Align2::LEFT_BOTTOM);
    if f.explain(response, help::PROGRESS_BY_NAME).clicked() {
        choose(f, past, of, Some(one.name.clone()));
    }
}
