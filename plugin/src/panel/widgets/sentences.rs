//! A list of sentences, wrapped into rows; only whole rows are shown.

use crate::panel::style::Style;
use crate::panel::widgets::scroll::{Scroll, beside_a_bar};
use crate::panel::widgets::text::{self, Line};
use crate::panel::widgets::{button, help};
use egui::{Align2, Painter, Rect, Role, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

/// The sign before a sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// None: a heading.
    Heading,
    /// None.
    Plain,
    /// A dot: it holds.
    Holds,
    /// A ring: it is not clear.
    Open,
    /// A triangle: something is wrong.
    Wrong,
}

/// A sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sentence {
    /// Its sign.
    pub sign: Sign,
    /// Its text.
    pub text: String,
}

impl Sentence {
    /// One with its sign.
    pub fn new(sign: Sign, text: impl Into<String>) -> Self {
        Self { sign, text: text.into() }
    }
}

/// A row of a sentence.
struct SentenceRow {
    sentence: usize,
    text: String,
    first: bool,
}

/// The sentences, over `area`; `what` names the list.
pub fn lines(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    (what, sentences): (&str, &[Sentence]),
    scroll: &mut Scroll,
) {
    let list = beside_a_bar(style, area);
    let pitch = style.small * 1.3 + style.len(3.0);
    let indent = style.len(14.0);
    let rows = broken(ui.painter(), style, sentences, list.width() - indent);
    let lanes = scroll.lanes(ui, style, area, pitch, rows.len());
    let mut told = None;
    for (index, lane) in lanes.each() {
        let row = &rows[index];
        let sentence = &sentences[row.sentence];
        // A screen reader gets each sentence once, whole.
        if told != Some(row.sentence) {
            told = Some(row.sentence);
            let id = ui.scope_id().with((what, row.sentence));
            let response = ui.interact(lane, id, help::sense());
            let text = match sentence.sign {
                Sign::Wrong => format!("Wrong: {}", sentence.text),
                _ => sentence.text.clone(),
            };
            response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &text));
            button::focus_ring(ui.painter(), style, &response);
        }
        let heading = sentence.sign == Sign::Heading;
        let ink = if heading || sentence.sign == Sign::Open {
            style.theme.ink_soft
        } else {
            style.theme.ink
        };
        let left = if heading { 0.0 } else { indent };
        let line = Line::new(ui.painter(), &row.text, style.small, ink);
        let at = pos2(list.left() + left, lane.center().y);
        let text = line.paint(ui.painter(), at, Align2::LEFT_CENTER);
        if heading {
            let rule = Stroke::new(1.0, style.theme.rule);
            let x = text.right() + style.len(8.0)..=list.right();
            if x.start() < x.end() {
                ui.painter().hline(x, text.center().y, rule);
            }
        } else if row.first {
            sign(
                ui.painter(),
                style,
                pos2(list.left() + style.len(5.0), lane.center().y),
                sentence,
            );
        }
    }
    scroll.bar_beside(ui, style, &lanes, what);
}

fn sign(painter: &Painter, style: &Style, at: egui::Pos2, sentence: &Sentence) {
    let theme = &style.theme;
    let reach = style.len(3.4);
    match sentence.sign {
        Sign::Heading | Sign::Plain => {}
        Sign::Holds => {
            painter.circle_filled(at, reach, theme.ink);
        }
        Sign::Open => {
            painter.circle_stroke(at, reach, Stroke::new(style.len(1.4), theme.ink_soft));
        }
        Sign::Wrong => {
            let points = vec![
                at + vec2(0.0, -reach * 1.2),
                at + vec2(reach * 1.2, reach),
                at + vec2(-reach * 1.2, reach),
            ];
            painter.add(Shape::convex_polygon(points, theme.alert, Stroke::NONE));
        }
    }
}

fn broken(
    painter: &Painter,
    style: &Style,
    sentences: &[Sentence],
    width: f32,
) -> Vec<SentenceRow> {
    let mut rows = Vec::new();
    for (sentence, Sentence { text, .. }) in sentences.iter().enumerate() {
        let broken = text::rows(painter, text, style.small, width).into_iter().enumerate();
        rows.extend(broken.map(|(place, text)| SentenceRow { sentence, text, first: place == 0 }));
    }
    rows
}
