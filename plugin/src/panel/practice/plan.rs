//! The selected drill: its aims, its settings, and the click.

use crate::command::drill::DrillCommand;
use crate::panel::frame::{Frame, List};
use crate::panel::practice::foot::foot;
use crate::panel::settings::{self, SettingParts};
use crate::panel::state::practice::Page;
use crate::panel::widgets::{Field, Pen, beside_a_bar, button};
use crate::view_model::practice::{DrillPlan, DrillSetting, PracticeView};
use crate::view_model::setting::Setting;
use egui::{Align2, Rect};
use overbar_core::practice::metronome::LEVEL_CAUTION;

/// A row of the page.
enum PlanRow<'a> {
    Words(String),
    Group(&'static str),
    /// With the number of the aim that can be removed.
    Setting(&'a DrillSetting, Option<usize>),
    Click(&'a Setting),
}

fn all_rows<'a>(
    pen: &Pen<'_>,
    width: f32,
    plan: &'a DrillPlan,
    clicks: &'a [Setting],
) -> Vec<PlanRow<'a>> {
    let words = |text: &str| pen.rows(text, pen.style.caption, width);
    let several = plan.aims.len() > 1;
    let mut rows = Vec::new();
    for (index, aim) in plan.aims.iter().enumerate() {
        rows.extend(words(aim).into_iter().map(PlanRow::Words));
        let of_it = plan.settings.iter().filter(|setting| setting.goal == Some(index));
        rows.extend(of_it.map(|setting| PlanRow::Setting(setting, several.then_some(index))));
    }
    rows.push(PlanRow::Group("form"));
    let whole = plan.settings.iter().filter(|setting| setting.goal.is_none());
    rows.extend(whole.map(|setting| PlanRow::Setting(setting, None)));
    rows.push(PlanRow::Group("metronome"));
    let ids = ["click", "click_places", "click_count_in", "click_level"];
    let clicks = ids.iter().filter_map(|id| clicks.iter().find(|s| s.id == *id));
    rows.extend(clicks.map(PlanRow::Click));
    rows.extend(words(LEVEL_CAUTION).into_iter().map(PlanRow::Words));
    rows
}

/// The page, over the whole of its area; `beside` the list.
pub fn plan(f: &mut Frame<'_>, practice: &PracticeView, beside: bool) {
    let area = f.area();
    let plan = &practice.plan;
    let start = format!("Start {}", plan.name);
    let buttons = [
        ("Start", start.as_str()),
        ("Save / share…", "Save this drill, or share it as text"),
        ("All drills", "All drills"),
    ];
    let buttons = if beside { &buttons[..2] } else { &buttons[..] };
    let (body, pressed) = foot(f, area, practice.message.as_deref(), buttons);
    match pressed {
        Some(0) => f.practise(DrillCommand::Start),
        Some(1) => f.state.practice.open(Page::Mix),
        Some(_) => f.state.practice.open(Page::Drills),
        None => {}
    }
    let title = f.wrapped(&plan.name, f.style.large, f.theme().ink, body.width());
    let title = title.paint(body.min, Align2::LEFT_TOP);
    let list = body.with_min_y(title.bottom() + f.len(4.0));
    let width = beside_a_bar(f.style, list).width().min(f.len(460.0));
    let rows = all_rows(f, width, plan, f.view.settings);
    let list = List::new(
        "settings of the drill",
        list,
        (button::height(f.style) + f.len(5.0), rows.len()),
        |state| &mut state.practice.scroll,
    );
    f.list(list, |f, index, lane| {
        let lane = lane.with_max_x(lane.left() + width);
        match &rows[index] {
            PlanRow::Group(name) => settings::group(f, lane, name),
            PlanRow::Click(setting) => settings::one(f, (lane, f.style.caption, 0.0), setting),
            PlanRow::Setting(setting, leave_out) => one(f, lane, setting, *leave_out),
            PlanRow::Words(words) => {
                f.label(lane, words, || words.clone());
                let line = f.line(words, f.style.caption, f.theme().ink_soft);
                line.paint(lane.left_center(), Align2::LEFT_CENTER);
            }
        }
    });
}

const LEAVE_OUT: &str = "Remove";

fn one(f: &mut Frame<'_>, lane: Rect, setting: &DrillSetting, leave_out: Option<usize>) {
    let parts = SettingParts::new(f, lane, ("half, quarter, triplet", 6.0), LEAVE_OUT);
    // In smaller type if it does not fit.
    let fits = f.width(&setting.name, f.style.caption) <= parts.name.width();
    let size = if fits { f.style.caption } else { f.style.small };
    let line = f.line(&setting.name, size, f.theme().ink);
    line.paint(parts.name.left_center(), Align2::LEFT_CENTER);
    let value = Field::new(&setting.id, &setting.name, &setting.value, "").typed(&setting.typed);
    parts.steps(f, value, (setting.at_least, setting.at_most), |f, to| {
        f.practise(DrillCommand::Turn { id: setting.id.clone(), to });
    });
    let Some(goal) = leave_out else { return };
    let label = format!("{}: remove", setting.name);
    let pressed = f.inside(lane, &format!("aim {goal}"), |f| {
        f.button(parts.button, LEAVE_OUT, &label, true).clicked()
    });
    if pressed {
        f.practise(DrillCommand::LeaveOut(goal));
    }
}
