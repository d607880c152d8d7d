//! What to work on next: each point with its evidence, the bars to listen to and the drill for it;
//! then what went well.

use crate::command::drill::DrillCommand;
use crate::panel::frame::Frame;
use crate::panel::widgets::{Line, Pen, bar_place, beside_a_bar, button, split_top};
use crate::view_model::look::Tab;
use egui::{Align2, Rect, Stroke, pos2};
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

/// The view, filling its area.
pub fn advice(f: &mut Frame<'_>) {
    let area = f.area();
    let Some(one) = &f.view.model.take_detail else { return f.say(area, NO_TAKE) };
    let blocks = blocks(&one.advice);
    let list = beside_a_bar(f.style, area);
    let all = 0..blocks.len();
    let first = f.state.advice.sight(all.clone(), 1).start;
    let mut top = list.top();
    let mut seen = 0;
    for block in blocks.iter().skip(first) {
        let laid = Laid::new(f, block, list.width());
        // The first block is always shown.
        if seen > 0 && top + laid.height > list.bottom() {
            break;
        }
        laid.show(f, split_top(list.with_min_y(top), laid.height).0, block);
        top += laid.height + f.len(10.0);
        seen += 1;
    }
    let (fit, bar) = (seen.max(1), bar_place(f.style, area));
    f.state.advice.wheel(&f.pen, area, f.pen.len(60.0), &all, fit);
    f.state.advice.bar(&f.pen, bar, "points", &all, fit);
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

/// A block with its text laid out.
struct Laid {
    head: Line,
    lines: Vec<Line>,
    height: f32,
}

impl Laid {
    fn new(pen: &Pen<'_>, block: &Block, width: f32) -> Self {
        let theme = pen.theme();
        let (width, gap) = (width - pen.len(9.0), pen.len(2.0));
        let head = pen.wrapped(&block.head, pen.style.body, theme.ink, width);
        let line = |line: &String| pen.wrapped(line, pen.style.small, theme.ink_soft, width);
        let lines: Vec<Line> = block.lines.iter().map(line).collect();
        let with_button = block.drill.map_or(0.0, |_| button::height(pen.style) + pen.len(4.0));
        let text = lines.iter().map(|line| line.size().y + gap).sum::<f32>();
        let height = head.size().y + gap + text + with_button;
        Self { head, lines, height }
    }

    fn show(&self, f: &mut Frame<'_>, place: Rect, block: &Block) {
        let theme = f.theme();
        let left = place.left() + f.len(9.0);
        f.label(place, &block.head, || format!("{} {}", block.head, block.lines.join(" ")));
        let mark = if block.drill.is_some() { theme.alert } else { theme.calm };
        f.painter().vline(place.left() + 1.5, place.y_range(), Stroke::new(3.0, mark));
        let gap = f.len(2.0);
        let mut y = self.head.paint(pos2(left, place.top()), Align2::LEFT_TOP).bottom() + gap;
        for line in &self.lines {
            y = line.paint(pos2(left, y), Align2::LEFT_TOP).bottom() + gap;
        }
        let Some(suggestion) = block.drill else { return };
        let form = f.view.model.take_detail.as_ref().and_then(|one| one.form.as_ref());
        let place = Rect::from_min_size(pos2(left, y + f.len(4.0)), f.button_size(PRACTISE));
        let label = format!("{PRACTISE}: {suggestion}");
        let pressed = f.button(place, PRACTISE, &label, true).clicked();
        if let Some(drill) = suggestion.drill(form.map(Form::chorus_bars)).filter(|_| pressed) {
            f.practise(DrillCommand::Practise(Box::new(drill)));
            f.state.look.tab = Tab::Practice;
        }
    }
}

const PRACTISE: &str = "Practise this";
