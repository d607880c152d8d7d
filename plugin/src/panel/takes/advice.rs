//! What to work on next: each point with its figure over the green band, its bars on a strip of the take, and
//! its drill; then what went well.

use crate::command::Command;
use crate::command::drill::DrillCommand;
use crate::panel::frame::Frame;
use crate::panel::state::takes::Detail;
use crate::panel::takes::picture::phrases_on_a_line;
use crate::panel::takes::text;
use crate::panel::widgets::{Line, Pen, bar_place, beside_a_bar, button, help, split_top};
use crate::panel::words;
use crate::view_model::hear::{HearRequest, HearWhat};
use crate::view_model::look::Tab;
use egui::{Align2, CornerRadius, Pos2, Rangef, Rect, Stroke, lerp, pos2};
use overbar_core::phrase::Phrase;
use overbar_core::study::advice::measure::Measure;
use overbar_core::study::advice::suggestion::Suggestion;
use overbar_core::study::advice::{Advice, CHECK_THE_GRID, Evidence};
use overbar_core::theory::form::Form;

const OTHER_METRE: &str = "Advice needs a take wholly in 4/4; the reference solos are.";
const NOTHING_TO_FIX: &str =
    "Nothing stands out: every figure is within the range of recorded solos.";
const TOO_FEW: &str = "Not enough phrases for advice yet: come back after about 20.";
const PRACTISE: &str = "Practise this";
const STAFF: &str = "Staff";

/// From this width on, a picture is beside the words, with this share of it. In points at the default size.
const PICTURED: f32 = 420.0;
const PICTURE: f32 = 0.4;

/// A picture is at most this much higher than the words beside it. In points at the default size.
const MAX_MORE: f32 = 150.0;

/// A block of the view.
struct Block {
    head: String,
    evidence: Option<Evidence>,
    /// First and last bars to listen to.
    bars: Vec<(i64, i64)>,
    bars_text: String,
    drill: Option<Suggestion>,
}

/// The view, filling its area.
pub fn advice(f: &mut Frame<'_>) {
    let area = f.area();
    let Some(one) = f.view.shown_take_detail() else { return };
    let blocks = blocks(&one.advice);
    let list = beside_a_bar(f.style, area);
    let all = 0..blocks.len();
    let gap = f.len(10.0);
    let heights = blocks.iter().map(|block| Laid::new(f, block, list.width()).height + gap);
    // If all blocks fit, they share the remaining height for pictures.
    let spare = (list.height() - heights.sum::<f32>() + gap).max(0.0);
    let pictured = blocks.iter().filter(|block| !block.bars.is_empty()).count();
    let more = (spare / pictured.max(1) as f32).min(f.len(MAX_MORE));
    let first = f.state.takes.scroll.sight(all.clone(), 1).start;
    let mut top = list.top();
    let mut seen = 0;
    for block in blocks.iter().skip(first) {
        let mut laid = Laid::new(f, block, list.width());
        if !block.bars.is_empty() {
            laid.height += more;
        }
        // The first block is always shown.
        if seen > 0 && top + laid.height > list.bottom() {
            break;
        }
        let place = split_top(list.with_min_y(top), laid.height).0;
        laid.show(f, place, block);
        top += laid.height + gap;
        seen += 1;
    }
    let (fit, bar) = (seen.max(1), bar_place(f.style, area));
    f.state.takes.scroll.wheel(&f.pen, area, f.pen.len(60.0), &all, fit);
    f.state.takes.scroll.bar(&f.pen, bar, "points", &all, fit);
}

fn blocks(advice: &Advice) -> Vec<Block> {
    let block = |head: String, evidence| Block {
        head,
        evidence,
        bars: Vec::new(),
        bars_text: String::new(),
        drill: None,
    };
    let alone = |words: &str| block(words.to_owned(), None);
    if advice.other_metre {
        return vec![alone(OTHER_METRE)];
    }
    let mut blocks: Vec<Block> = Vec::new();
    let rests_on_beats = advice.points.iter().any(|point| point.about)
        || advice.went_well.iter().any(|well| well.about);
    if rests_on_beats {
        blocks.push(alone(CHECK_THE_GRID));
    }
    blocks.extend(advice.points.iter().map(|point| Block {
        bars: point.bars.iter().map(|span| (span.from, span.to)).collect(),
        bars_text: point.bars_text(),
        drill: Some(point.suggestion),
        ..block(point.heard.to_owned(), Some(point.evidence))
    }));
    if advice.nothing_to_fix {
        blocks.push(alone(NOTHING_TO_FIX));
    } else if advice.points.is_empty() {
        blocks.push(alone(TOO_FEW));
    }
    blocks.extend(
        advice
            .went_well
            .iter()
            .map(|well| block(format!("Went well: {}", well.heard), Some(well.evidence))),
    );
    blocks
}

/// The evidence as a sentence.
fn in_words(evidence: &Evidence) -> String {
    format!("{}.", words::with_likely_range(&evidence.to_string()))
}

/// A block with its text laid out.
struct Laid {
    head: Line,
    evidence: Option<Line>,
    drill: Option<Line>,
    height: f32,
    /// Width of the picture at the right; 0 for none.
    picture: f32,
}

impl Laid {
    fn new(pen: &Pen<'_>, block: &Block, width: f32) -> Self {
        let theme = pen.theme();
        let has_picture = !block.bars.is_empty() && width >= pen.len(PICTURED);
        let picture = if has_picture { width * PICTURE } else { 0.0 };
        let (width, gap) = (width - picture - pen.len(9.0), pen.len(2.0));
        let head = pen.wrapped(&block.head, pen.style.body, theme.ink, width);
        let evidence = block.evidence.map(|evidence| {
            pen.wrapped(in_words(&evidence), pen.style.small, theme.ink_soft, width)
        });
        let mut height = head.size().y + gap;
        if let Some(line) = &evidence {
            height += line.size().y + scale_height(pen) + gap;
        }
        if !block.bars.is_empty() {
            height += strip_height(pen) + gap;
        }
        let drill = block
            .drill
            .map(|drill| pen.wrapped(drill.to_string(), pen.style.small, theme.ink, width));
        if let Some(line) = &drill {
            height += line.size().y + button::height(pen.style) + pen.len(4.0);
        }
        Self { head, evidence, drill, height, picture }
    }

    fn show(&self, f: &mut Frame<'_>, place: Rect, block: &Block) {
        let theme = f.theme();
        let left = place.left() + f.len(9.0);
        f.label(place, &block.head, || {
            let evidence =
                block.evidence.map_or_else(String::new, |e| format!(" {}", in_words(&e)));
            let bars = match block.bars_text.as_str() {
                "" => String::new(),
                bars => format!(" Bars {bars}."),
            };
            let drill = block.drill.map_or_else(String::new, |drill| format!(" {drill}"));
            format!("{}{evidence}{bars}{drill}", block.head)
        });
        let mark = if block.drill.is_some() { theme.alert } else { theme.calm };
        f.painter().vline(place.left() + 1.5, place.y_range(), Stroke::new(3.0, mark));
        let (place, beside) = place.split_left_right_at_x(place.right() - self.picture);
        if self.picture > 0.0 {
            picture(f, beside.with_min_x(beside.left() + f.len(14.0)), block);
        }
        let gap = f.len(2.0);
        let mut y = self.head.paint(pos2(left, place.top()), Align2::LEFT_TOP).bottom() + gap;
        if let (Some(line), Some(evidence)) = (&self.evidence, block.evidence) {
            y = line.paint(pos2(left, y), Align2::LEFT_TOP).bottom();
            let x = Rangef::new(left, place.right().min(left + f.len(420.0)));
            scale(f, x, y, &evidence);
            y += scale_height(f) + gap;
        }
        if !block.bars.is_empty() {
            let lane = Rect::from_x_y_ranges(left..=place.right(), y..=y + strip_height(f));
            strip(f, lane, block);
            y = lane.bottom() + gap;
        }
        let (Some(suggestion), Some(line)) = (block.drill, &self.drill) else { return };
        y = line.paint(pos2(left, y), Align2::LEFT_TOP).bottom();
        let form = f.view.model.take_detail.as_ref().and_then(|one| one.form.as_ref());
        let place = Rect::from_min_size(pos2(left, y + f.len(4.0)), f.button_size(PRACTISE));
        let text = suggestion.to_string();
        if let (Some(take), Some((from, to))) = (f.view.shown_take(), block.bars.first()) {
            let what = HearWhat::Bars { take: take.id, from: *from, to: *to };
            let bars =
                if from == to { format!("bar {from}") } else { format!("bars {from}–{to}") };
            let called = format!("{bars} of {}", f.view.model.called(take));
            let corner = pos2(place.right() + f.len(6.0), place.top());
            let hear = Rect::from_min_size(corner, f.hear_size());
            // Two points may have the same bars.
            f.inside(hear, &block.head, |f| f.hear(hear, &HearRequest { what, called }));
            on_a_staff(f, pos2(hear.right() + f.len(6.0), place.top()), block);
        }
        let pressed = f.button(place, PRACTISE, &format!("{PRACTISE}: {text}"), true).clicked();
        if let Some(drill) = suggestion.drill(form.map(Form::chorus_bars)).filter(|_| pressed) {
            f.practise(DrillCommand::Practise(Box::new(drill)));
            f.state.look.tab = Tab::Practice;
        }
    }
}

/// The phrases that start in the block's bars.
fn phrases_of<'a>(f: &Frame<'a>, block: &'a Block) -> impl Iterator<Item = &'a Phrase> {
    let phrases = f.view.snapshot.phrases.iter();
    phrases.filter(|phrase| {
        let bar = phrase.entry.bar;
        block.bars.iter().any(|(from, to)| (*from..=*to).contains(&bar))
    })
}

/// A button that shows the first of these phrases note by note.
fn on_a_staff(f: &mut Frame<'_>, corner: Pos2, block: &Block) {
    let Some(first_note) = phrases_of(f, block).next().map(|phrase| phrase.first_note) else {
        return;
    };
    let place = Rect::from_min_size(corner, f.button_size(STAFF));
    let label = format!("Show the first phrase on a staff: {}", block.head);
    let pressed = f.button(place, STAFF, &label, true);
    if f.explain(pressed, help::ADVICE_STAFF).clicked() {
        f.ask(Command::Choose(Some(first_note)));
        (f.state.note, f.state.piano_roll) = (None, false);
        f.state.takes.open(Detail::Phrases);
    }
}

/// Draws these phrases.
fn picture(f: &Frame<'_>, area: Rect, block: &Block) {
    let phrases: Vec<Phrase> = phrases_of(f, block).copied().collect();
    let under = text::caption(f, area, "phrases that start there");
    f.label(under, ("picture", &block.head), || {
        let phrases = words::count(phrases.len(), "phrase", "phrases");
        format!("{phrases} in bars {}", block.bars_text)
    });
    phrases_on_a_line(f, under, &phrases);
}

fn scale_height(pen: &Pen<'_>) -> f32 {
    pen.len(13.0)
}

/// The figure with its range, over the middle 80 % of recorded solos.
fn scale(pen: &Pen<'_>, x: Rangef, top: f32, evidence: &Evidence) {
    let part = |value: f64| match evidence.measure {
        Measure::Lag => (value / 80.0 + 0.5).clamp(0.0, 1.0) as f32,
        _ => value.clamp(0.0, 1.0) as f32,
    };
    let norm = evidence.norm;
    pen.scale_line(
        x,
        top + scale_height(pen) / 2.0,
        Some((part(norm.low), part(norm.high))),
        Some((part(evidence.low), part(evidence.high))),
        Some(part(evidence.value)),
    );
}

fn strip_height(pen: &Pen<'_>) -> f32 {
    text::row(pen) + pen.len(3.0)
}

/// The bars of the take from left to right, the block's bars lit.
fn strip(f: &Frame<'_>, lane: Rect, block: &Block) {
    let (from, to) = f.view.shown_take_detail().map_or((1, 1), |one| one.summary.bars);
    let (from, to) = block.bars.iter().fold((from, to), |(a, b), (c, d)| (a.min(*c), b.max(*d)));
    let room = (lane.width() * 0.5).min(f.len(200.0));
    let track = Rect::from_x_y_ranges(
        lane.left()..=lane.left() + room,
        lane.center().y - f.len(4.0)..=lane.center().y + f.len(4.0),
    );
    let bars = (to - from + 1).max(1) as f32;
    let x = |bar: i64| lerp(track.x_range(), (bar - from) as f32 / bars);
    let (painter, theme) = (f.painter(), f.theme());
    painter.rect_filled(track, CornerRadius::ZERO, theme.raised);
    for (first, last) in &block.bars {
        let lit =
            Rect::from_x_y_ranges(x(*first)..=x(last + 1).max(x(*first) + 1.5), track.y_range());
        painter.rect_filled(lit, CornerRadius::ZERO, theme.ink);
    }
    let at = pos2(track.right() + f.len(8.0), lane.center().y);
    let line =
        f.cut(format!("bars {}", block.bars_text), f.style.small, theme.ink, lane.right() - at.x);
    line.paint(at, Align2::LEFT_CENTER);
}
