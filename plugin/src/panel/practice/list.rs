//! The drills there are, each with its aims.

use crate::command::action::Action;
use crate::command::drill::DrillCommand;
use crate::panel::practice::foot::foot;
use crate::panel::practice::sentences;
use crate::panel::state::PanelState;
use crate::panel::state::practice::Page;
use crate::panel::style::Style;
use crate::panel::widgets::text::{self, Line};
use crate::panel::widgets::{button, help};
use crate::view_model::practice::{DrillOffer, PracticeView};
use egui::{Align2, CornerRadius, Rect, Response, Role, Sense, Ui, WidgetInfo, pos2, vec2};

/// Rows of aims under a name.
const AIM_ROWS: usize = 2;

/// The list, filling `ui`.
pub fn list(
    ui: &mut Ui,
    style: &Style,
    practice: &PracticeView,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let plan = &practice.plan;
    let mut buttons = vec![("Chosen drill", "Settings of the chosen drill")];
    if practice.run.is_some() {
        buttons.push(("Drill under way", "The drill under way, or the last one"));
    }
    if !plan.kept.is_empty() {
        buttons.push(("Results so far", "Results so far"));
    }
    let said = practice.said.as_deref();
    let (body, pressed) = foot(ui, style, area, said, &buttons);
    match pressed.and_then(|index| buttons.get(index)) {
        Some(("Chosen drill", _)) => state.practice.open(Page::Plan),
        Some(("Drill under way", _)) => state.practice.open(Page::Live),
        Some(_) => state.practice.open(Page::Kept),
        None => {}
    }
    let side = style.len(14.0);
    let list = body.with_max_x(body.right() - side);
    let text = list.width() - style.len(16.0);
    let size = style.small;
    let aims = |offer: &DrillOffer| {
        sentences::as_many_as_fit(ui.painter(), &offer.aims, (size, text), AIM_ROWS)
    };
    let aims: Vec<Vec<String>> = plan.drills.iter().map(aims).collect();
    let most = aims.iter().map(Vec::len).max().unwrap_or(1);
    let row = size * 1.35;
    // A name keeps clear of the buttons.
    let room = text - style.len(110.0);
    let names: Vec<Vec<String>> = plan
        .drills
        .iter()
        .map(|offer| text::rows(ui.painter(), &offer.name, style.body, room))
        .collect();
    let name = style.body * 1.35 * names.iter().map(Vec::len).max().unwrap_or(1) as f32;
    let pitch = name.max(button::height(style)) + most as f32 * row + style.len(9.0);
    let fit = (body.height() / pitch).max(1.0) as usize;
    let all = 0..plan.drills.len();
    state.practice.scroll.wheel(ui, body, pitch, &all, fit);
    for (place, index) in state.practice.scroll.sight(all.clone(), fit).enumerate() {
        let row = (plan.drills.get(index), names.get(index), aims.get(index));
        let (Some(offer), Some(name), Some(aims)) = row else { continue };
        let at = pos2(list.left(), list.top() + place as f32 * pitch);
        let lane = Rect::from_min_size(at, vec2(list.width(), pitch - style.len(3.0)));
        let chosen = plan.chosen == Some(index);
        if one(ui, style, lane, offer, (name, aims), chosen).clicked() {
            acts.push(Action::Practice(DrillCommand::Choose(index)));
            state.practice.open(Page::Plan);
        }
        let mut right = lane.right() - style.len(4.0);
        let mut small = |ui: &mut Ui, text: &str, label: String, help: &'static str| {
            let size = button::size(ui.painter(), style, text);
            let at = pos2(right - size.x, lane.top() + style.len(3.0));
            right = at.x - style.len(6.0);
            let place = Rect::from_min_size(at, size);
            let response = button::button(ui, style, place, text, &label, true);
            help::explain(ui, style, response, help).clicked()
        };
        let together = || format!("Practise {} together with the chosen drill", offer.name);
        if !chosen && small(ui, "Add", together(), help::DRILL_ADD) {
            acts.push(Action::Practice(DrillCommand::AddAims(index)));
        }
        if offer.own && small(ui, "Forget", format!("Forget {}", offer.name), help::DRILL_FORGET) {
            acts.push(Action::Practice(DrillCommand::Forget(index)));
        }
    }
    let bar = Rect::from_x_y_ranges(area.right() - side * 0.8..=area.right(), body.y_range());
    state.practice.scroll.bar(ui, style, bar, "drills", &all, fit);
}

fn one(
    ui: &mut Ui,
    style: &Style,
    lane: Rect,
    offer: &DrillOffer,
    (name, aims): (&[String], &[String]),
    chosen: bool,
) -> Response {
    let response = ui.interact(lane, ui.scope_id().with(("drill", &offer.name)), Sense::click());
    let label = format!("{}: {}", offer.name, offer.aims.join(" "));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen, &label));
    let theme = &style.theme;
    let painter = ui.painter();
    if chosen || response.hovered() {
        painter.rect_filled(lane, CornerRadius::same(3), theme.raised);
    }
    if chosen {
        let tick = Rect::from_min_size(lane.min, vec2(style.len(3.0), lane.height()));
        painter.rect_filled(tick, CornerRadius::ZERO, theme.ink);
    }
    let at = lane.min + vec2(style.len(8.0), style.len(3.0));
    let mut y = at.y;
    for row in name {
        let line = Line::new(painter, row, style.body, theme.ink);
        y = line.paint(painter, pos2(at.x, y), Align2::LEFT_TOP).bottom();
    }
    y = y.max(at.y + button::height(style) - style.len(2.0));
    for aim in aims {
        let line = Line::new(painter, aim, style.small, theme.ink_soft);
        y = line.paint(painter, pos2(at.x, y), Align2::LEFT_TOP).bottom();
    }
    button::focus_ring(painter, style, &response);
    response
}
