//! The chosen drill: its aims, what can be set of it, and the click.

use crate::command::action::Action;
use crate::command::drill::DrillCommand;
use crate::panel::practice::foot::foot;
use crate::panel::settings;
use crate::panel::state::PanelState;
use crate::panel::state::practice::Page;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::button;
use crate::panel::widgets::field::{Field, field};
use crate::panel::widgets::text::{self, Line};
use crate::view_model::practice::{DrillPlan, DrillSetting, PracticeView};
use crate::view_model::setting::{Adjustment, Setting};
use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use overbar_core::practice::metronome::LEVEL_CAUTION;

/// A row of the page.
enum PlanRow<'a> {
    Words(String),
    Group(&'static str),
    /// With the number of the aim that can be left out.
    Setting(&'a DrillSetting, Option<usize>),
    Click(&'a Setting),
}

fn all_rows<'a>(
    ui: &Ui,
    style: &Style,
    width: f32,
    plan: &'a DrillPlan,
    clicks: &'a [Setting],
) -> Vec<PlanRow<'a>> {
    let words = |text: &str| text::rows(ui.painter(), text, style.caption, width);
    let several = plan.aims.len() > 1;
    let mut rows = Vec::new();
    for (index, aim) in plan.aims.iter().enumerate() {
        rows.extend(words(aim).into_iter().map(PlanRow::Words));
        let of_it = plan.settings.iter().filter(|setting| setting.goal == Some(index));
        rows.extend(of_it.map(|setting| PlanRow::Setting(setting, several.then_some(index))));
    }
    rows.push(PlanRow::Group("the form"));
    let whole = plan.settings.iter().filter(|setting| setting.goal.is_none());
    rows.extend(whole.map(|setting| PlanRow::Setting(setting, None)));
    rows.push(PlanRow::Group("the click"));
    let ids = ["click", "click_places", "click_count_in", "click_level"];
    rows.extend(
        ids.iter().filter_map(|id| clicks.iter().find(|s| s.id == *id)).map(PlanRow::Click),
    );
    rows.extend(words(LEVEL_CAUTION).into_iter().map(PlanRow::Words));
    rows
}

/// The page, over the whole of `ui`.
pub fn plan(
    ui: &mut Ui,
    style: &Style,
    (view, practice): (&View<'_>, &PracticeView),
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let plan = &practice.plan;
    let start = format!("Start {}", plan.name);
    let buttons = [
        ("Start", start.as_str()),
        ("Keep and share", "Keep this drill, or share it as text"),
        ("All drills", "All drills"),
    ];
    let (body, pressed) = foot(ui, style, area, practice.said.as_deref(), &buttons);
    match pressed {
        Some(0) => acts.push(Action::Practice(DrillCommand::Start)),
        Some(1) => state.practice.open(Page::Mix),
        Some(_) => state.practice.open(Page::Drills),
        None => {}
    }
    let title = Line::wrapped(ui.painter(), &plan.name, style.large, style.theme.ink, body.width());
    let title = title.paint(ui.painter(), body.min, Align2::LEFT_TOP);
    let list = body.with_min_y(title.bottom() + style.len(4.0));
    let side = style.len(14.0);
    let width = (list.width() - side).min(style.len(460.0));
    let rows = all_rows(ui, style, width, plan, view.settings);
    let pitch = button::height(style) + style.len(5.0);
    let fit = (list.height() / pitch).max(1.0) as usize;
    let all = 0..rows.len();
    state.practice.scroll.wheel(ui, list, pitch, &all, fit);
    let sight = state.practice.scroll.sight(all.clone(), fit);
    for (place, row) in rows.get(sight).unwrap_or_default().iter().enumerate() {
        let at = pos2(list.left(), list.top() + place as f32 * pitch);
        let lane = Rect::from_min_size(at, vec2(width, pitch));
        match row {
            PlanRow::Group(name) => settings::group(ui, style, lane, name),
            PlanRow::Click(setting) => {
                settings::one(ui, style, (lane, style.caption), setting, state, acts);
            }
            PlanRow::Setting(setting, leave_out) => {
                one(ui, style, lane, setting, state, acts);
                if let Some(goal) = leave_out {
                    leave(ui, style, lane, *goal, &setting.name, acts);
                }
            }
            PlanRow::Words(words) => {
                let response = ui.interact(lane, ui.scope_id().with(words), Sense::hover());
                response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
                let soft = style.theme.ink_soft;
                let line = Line::new(ui.painter(), words, style.caption, soft);
                line.paint(ui.painter(), lane.left_center(), Align2::LEFT_CENTER);
            }
        }
    }
    let bar = Rect::from_x_y_ranges(area.right() - side * 0.8..=area.right(), list.y_range());
    state.practice.scroll.bar(ui, style, bar, "settings of the drill", &all, fit);
}

const LEAVE_OUT: &str = "Leave out";

/// The parts of a setting's row: name, less, value, more, and room for a button.
fn parts(ui: &Ui, style: &Style, lane: Rect) -> [Rect; 5] {
    let high = button::height(style);
    let gap = style.len(3.0);
    let part = |right: f32, width: f32| {
        Rect::from_center_size(pos2(right - width / 2.0, lane.center().y), vec2(width, high))
    };
    let last = part(lane.right(), button::size(ui.painter(), style, LEAVE_OUT).x);
    let more = part(last.left() - gap * 2.0, high);
    let ink = style.theme.ink;
    let widest = Line::new(ui.painter(), "half, quarter, triplet", style.small, ink).width();
    let value = part(more.left() - gap, widest + style.len(6.0));
    let less = part(value.left() - gap, high);
    [lane.with_max_x(less.left() - gap), less, value, more, last]
}

fn one(
    ui: &mut Ui,
    style: &Style,
    lane: Rect,
    setting: &DrillSetting,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let [name, less, place, more, _] = parts(ui, style, lane);
    let line = Line::new(ui.painter(), &setting.name, style.caption, style.theme.ink);
    line.paint(ui.painter(), name.left_center(), Align2::LEFT_CENTER);
    let say = |what: &str| format!("{}: {what}", setting.name);
    let mut set = |to: Adjustment| {
        acts.push(Action::Practice(DrillCommand::Turn { id: setting.id.clone(), to }))
    };
    if button::button(ui, style, less, "–", &say("less"), !setting.at_least).clicked() {
        set(Adjustment::Less);
    }
    let shown = Field {
        id: &setting.id,
        label: &setting.name,
        text: &setting.value,
        typed: &setting.typed,
        empty: "",
        centred: true,
    };
    if let Some(typed) = field(ui, style, place, shown, &mut state.typing) {
        set(Adjustment::Typed(typed));
    }
    if button::button(ui, style, more, "+", &say("more"), !setting.at_most).clicked() {
        set(Adjustment::More);
    }
}

fn leave(ui: &mut Ui, style: &Style, lane: Rect, goal: usize, name: &str, acts: &mut Vec<Action>) {
    let [.., place] = parts(ui, style, lane);
    let label = format!("{name}: leave out");
    let mut ui = ui.new_child(egui::UiBuilder::new().id_salt(("aim", goal)).max_rect(lane));
    if button::button(&mut ui, style, place, LEAVE_OUT, &label, true).clicked() {
        acts.push(Action::Practice(DrillCommand::LeaveOut(goal)));
    }
}
