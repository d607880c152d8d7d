//! The drills, each with its aims and a button that starts it.

use crate::command::drill::DrillCommand;
use crate::panel::frame::Frame;
use crate::panel::practice::foot::foot;
use crate::panel::practice::sentences;
use crate::panel::state::practice::Page;
use crate::panel::widgets::{FlowLeft, Pen, bar_place, beside_a_bar, button, help, split_top};
use crate::view_model::practice::{DrillOffer, PracticeView};
use egui::{Rect, Response, Role, Sense, WidgetInfo, pos2, vec2};

/// Rows of aims below a name.
const AIM_ROWS: usize = 2;

/// Row height of text, relative to its size.
const LEADING: f32 = 1.35;

/// Drills are at most this much further apart if all fit, in points at the default size.
const MAX_APART: f32 = 20.0;

/// Height around the text of a drill, in points at the default size.
const GAPS: f32 = 9.0;

/// The list, filling its area; with the selected drill `beside` it.
pub fn list(f: &mut Frame<'_>, practice: &PracticeView, beside: bool) {
    let area = f.area();
    let plan = &practice.plan;
    let mut buttons = Vec::new();
    if !beside {
        buttons.push(("Set up drill", "Set up the selected drill"));
    }
    if practice.run.is_some() {
        buttons.push(("Current drill", "The current drill, or the last one"));
    }
    if !plan.kept.is_empty() {
        buttons.push(("History", "History of results"));
    }
    // The error is shown in the pane beside the list.
    let message = practice.message.as_deref().filter(|_| !beside);
    let (body, pressed) = foot(f, area, message, &buttons);
    match pressed.and_then(|index| buttons.get(index)) {
        Some(("Set up drill", _)) => f.state.practice.open(Page::Plan),
        Some(("Current drill", _)) => f.state.practice.open(Page::Live),
        Some(_) => f.state.practice.open(Page::Kept),
        None => {}
    }
    let text = beside_a_bar(f.style, body).width() - f.len(16.0);
    let size = f.style.small;
    let aims =
        |offer: &DrillOffer| sentences::as_many_as_fit(f, &offer.aims, (size, text), AIM_ROWS);
    let aims: Vec<Vec<String>> = plan.drills.iter().map(aims).collect();
    // A name stays clear of the buttons.
    let width = |text: &str| f.button_size(text).x + f.len(6.0);
    let buttons = width("Start") + width("Combine");
    let names = plan.drills.iter().map(|offer| {
        let own = if offer.own { width("Delete") } else { 0.0 };
        f.rows(&offer.name, f.style.caption, text - buttons - own - f.len(6.0))
    });
    let names: Vec<Vec<String>> = names.collect();
    let height = |index: usize| {
        let name = names[index].len() as f32 * f.style.caption * LEADING;
        let name = name.max(button::height(f.style)) + f.len(2.0);
        name + aims[index].len() as f32 * size * LEADING + f.len(GAPS)
    };
    let heights: Vec<f32> = (0..plan.drills.len()).map(height).collect();
    // If all fit, they are further apart.
    let spare = (body.height() - heights.iter().sum::<f32>()) / heights.len().max(1) as f32;
    let apart = spare.clamp(0.0, f.len(MAX_APART));
    let heights: Vec<f32> = heights.iter().map(|height| height + apart).collect();
    let lanes = in_sight(f, body, &heights);
    for (index, lane) in lanes {
        let offer = &plan.drills[index];
        let lane = lane.with_max_y(lane.bottom() - f.len(3.0));
        let chosen = plan.chosen == Some(index);
        if one(f, lane, offer, (&names[index], &aims[index]), chosen).clicked() {
            f.practise(DrillCommand::Choose(index));
            if !beside {
                f.state.practice.open(Page::Plan);
            }
        }
        let inner = Rect::from_min_max(
            pos2(lane.left(), lane.top() + f.len(3.0)),
            pos2(lane.right() - f.len(4.0), lane.bottom()),
        );
        let mut flow = FlowLeft::new(inner, f.len(6.0));
        let mut small = |f: &mut Frame<'_>, text: &str, label: String, help, commands: Vec<_>| {
            let response = flow.button(f, (text, &label), true);
            if f.explain(response, help).clicked() {
                commands.into_iter().for_each(|command| f.practise(command));
            }
        };
        let label = format!("Start {} now", offer.name);
        small(
            f,
            "Start",
            label,
            help::DRILL_START,
            vec![DrillCommand::Choose(index), DrillCommand::Start],
        );
        if !chosen {
            let label = format!("Combine {} with the selected drill", offer.name);
            small(f, "Combine", label, help::DRILL_ADD, vec![DrillCommand::AddAims(index)]);
        }
        if offer.own && (chosen || !beside) {
            let label = format!("Delete {}", offer.name);
            small(f, "Delete", label, help::DRILL_FORGET, vec![DrillCommand::Forget(index)]);
        }
    }
}

/// Lays out rows of these `heights` over `area`, as many as fit, with a scroll bar: each with its index.
fn in_sight(f: &mut Frame<'_>, area: Rect, heights: &[f32]) -> Vec<(usize, Rect)> {
    let list = beside_a_bar(f.style, area);
    let all = 0..heights.len();
    // At the end as many are in sight as fit there.
    let mut room = list.height();
    let last = heights.iter().rev().take_while(|height| {
        room -= **height;
        room >= 0.0
    });
    let fit_last = last.count().max(1);
    let (bar, scroll) = (bar_place(f.style, area), &mut f.state.practice.scroll);
    let pitch = heights.iter().sum::<f32>() / heights.len().max(1) as f32;
    scroll.wheel(&f.pen, area, pitch.max(1.0), &all, fit_last);
    let first = scroll.sight(all.clone(), fit_last).start;
    let mut top = list.top();
    let mut lanes = Vec::new();
    for (index, height) in heights.iter().enumerate().skip(first) {
        // The first one is always shown.
        if index > first && top + height > list.bottom() {
            break;
        }
        lanes.push((index, split_top(list.with_min_y(top), *height).0));
        top += height;
    }
    scroll.bar(&f.pen, bar, "drills", &all, fit_last);
    lanes
}

fn one(
    pen: &Pen<'_>,
    lane: Rect,
    offer: &DrillOffer,
    (name, aims): (&[String], &[String]),
    chosen: bool,
) -> Response {
    let response = pen.interact(lane, ("drill", &offer.name), Sense::click());
    let label = format!("{}: {}", offer.name, offer.aims.join(" "));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &label));
    pen.label_tooltip(&response, "Press to see this drill's settings and to start it.");
    pen.chosen_ground(lane, chosen, &response);
    let theme = pen.theme();
    let at = lane.min + vec2(pen.len(8.0), pen.len(3.0));
    let below = pen.write_rows(name, at, pen.style.caption, theme.ink);
    let below = below.max(at.y + button::height(pen.style)) + pen.len(2.0);
    pen.write_rows(aims, pos2(at.x, below), pen.style.small, theme.ink_soft);
    pen.focus_ring(&response);
    response
}
