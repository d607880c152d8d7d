//! What to work on next: each point with its evidence, the bars to listen to and the drill for it;
//! then what went well.

use crate::command::action::Action;
use crate::command::drill::DrillCommand;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::button;
use crate::panel::widgets::text::{Line, say};
use crate::view_model::look::Tab;
use egui::{Align2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use overbar_core::study::advice::suggestion::Suggestion;
use overbar_core::study::advice::{Advice, Point, Well};
use overbar_core::theory::form::Form;

const NO_TAKE: &str = "No take is shown yet.";
const OTHER_METRE: &str =
    "Not all of this take is in 4/4: there are no recorded solos to hold it against.";
const NOTHING_TO_FIX: &str =
    "Nothing to fix: no figure of this take is surely beyond what recorded solos do.";
const TOO_FEW: &str =
    "Too few phrases to say what to work on: play on, and look again after some twenty of them.";

/// A block of the view.
struct Block {
    head: String,
    lines: Vec<String>,
    drill: Option<Suggestion>,
}

/// The view, filling `ui`.
pub fn advice(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let Some(one) = &view.model.take_detail else { return say(ui, style, area, NO_TAKE) };
    let blocks = blocks(&one.advice);
    let side = style.len(14.0);
    let list = area.with_max_x(area.right() - side);
    let fit = 1;
    let all = 0..blocks.len();
    let first = state.advice.sight(all.clone(), fit).start;
    let mut top = list.top();
    let mut seen = 0;
    for block in blocks.iter().skip(first) {
        let height = shown(ui, style, list.with_min_y(top), block, None);
        // The first block is always shown.
        if seen > 0 && top + height > list.bottom() {
            break;
        }
        shown(ui, style, list.with_min_y(top), block, Some((view, state, acts)));
        top += height + style.len(10.0);
        seen += 1;
    }
    state.advice.wheel(ui, area, style.len(60.0), &all, seen.max(1));
    let bar = Rect::from_x_y_ranges(area.right() - side * 0.8..=area.right(), list.y_range());
    state.advice.bar(ui, style, bar, "points", &all, seen.max(1));
}

fn blocks(advice: &Advice) -> Vec<Block> {
    let alone = |words: &str| Block { head: words.to_owned(), lines: Vec::new(), drill: None };
    if advice.other_metre {
        return vec![alone(OTHER_METRE)];
    }
    let mut blocks: Vec<Block> = advice.points.iter().map(point).collect();
    if advice.nothing_to_fix {
        blocks.push(alone(NOTHING_TO_FIX));
    } else if advice.points.is_empty() {
        blocks.push(alone(TOO_FEW));
    }
    blocks.extend(advice.went_well.iter().map(well));
    blocks
}

fn point(point: &Point) -> Block {
    let mut lines = vec![format!("{}. Source: {}.", point.evidence, point.evidence.source)];
    if !point.bars.is_empty() {
        lines.push(format!("Listen to bars {}.", point.bars_text()));
    }
    lines.push(point.suggestion.to_string());
    Block { head: point.heard.to_owned(), lines, drill: Some(point.suggestion) }
}

fn well(well: &Well) -> Block {
    let lines = vec![format!("{}.", well.evidence)];
    Block { head: format!("Went well: {}", well.heard), lines, drill: None }
}

/// What the user may do in a block.
type Doing<'a, 'b> = (&'a View<'b>, &'a mut PanelState, &'a mut Vec<Action>);

/// Lays out a block at the top of `area`, and draws it if `doing` is given. Returns its height.
fn shown(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    block: &Block,
    doing: Option<Doing<'_, '_>>,
) -> f32 {
    let theme = &style.theme;
    let inner = area.with_min_x(area.left() + style.len(9.0));
    let head = Line::wrapped(ui.painter(), &block.head, style.body, theme.ink, inner.width());
    let lines: Vec<Line> = block
        .lines
        .iter()
        .map(|line| Line::wrapped(ui.painter(), line, style.small, theme.ink_soft, inner.width()))
        .collect();
    let gap = style.len(2.0);
    let with_button = block.drill.map_or(0.0, |_| button::height(style) + style.len(4.0));
    let text = lines.iter().map(|line| line.size().y + gap).sum::<f32>();
    let height = head.size().y + gap + text + with_button;
    let Some((view, state, acts)) = doing else { return height };
    let place = Rect::from_min_size(area.min, vec2(area.width(), height));
    let response = ui.interact(place, ui.scope_id().with(&block.head), Sense::hover());
    response.widget_info(|| {
        let label = format!("{} {}", block.head, block.lines.join(" "));
        WidgetInfo::labeled(Role::Label, true, label)
    });
    let mark = if block.drill.is_some() { theme.alert } else { theme.calm };
    ui.painter().vline(place.left() + 1.5, place.y_range(), Stroke::new(3.0, mark));
    let mut y = head.paint(ui.painter(), inner.min, Align2::LEFT_TOP).bottom() + gap;
    for line in lines {
        y = line.paint(ui.painter(), pos2(inner.left(), y), Align2::LEFT_TOP).bottom() + gap;
    }
    if let Some(suggestion) = block.drill {
        let of_take = view.model.take_detail.as_ref().and_then(|one| one.form.as_ref());
        let chorus = of_take.map(Form::chorus_bars);
        let size = button::size(ui.painter(), style, PRACTISE);
        let place = Rect::from_min_size(pos2(inner.left(), y + style.len(4.0)), size);
        let label = format!("{PRACTISE}: {suggestion}");
        let pressed = button::button(ui, style, place, PRACTISE, &label, true).clicked();
        if let Some(drill) = suggestion.drill(chorus).filter(|_| pressed) {
            acts.push(Action::Practice(DrillCommand::Practise(Box::new(drill))));
            state.look.tab = Tab::Practice;
        }
    }
    height
}

const PRACTISE: &str = "Practise this";
