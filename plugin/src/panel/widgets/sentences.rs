//! A list of sentences, wrapped into rows; only whole rows are shown.

use crate::panel::widgets::pen::Pen;
use crate::panel::widgets::scroll::{Scroll, beside_a_bar};
use egui::{Align2, Pos2, Rect, Shape, Stroke, pos2, vec2};

/// The symbol before a sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// None: a heading.
    Heading,
    /// None.
    Plain,
    /// A dot: it is established.
    Holds,
    /// A ring: it is unclear.
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

impl Pen<'_> {
    /// Sentences over `area`; `what` names the list.
    pub fn sentences(
        &self,
        area: Rect,
        (what, sentences): (&str, &[Sentence]),
        scroll: &mut Scroll,
    ) {
        let (style, theme) = (self.style, self.theme());
        let list = beside_a_bar(style, area);
        let pitch = style.small * 1.3 + style.len(3.0);
        let indent = style.len(14.0);
        let rows = self.sentence_rows(sentences, list.width() - indent);
        let lanes = scroll.lanes(self, area, pitch, rows.len());
        let mut spoken = None;
        for (index, lane) in lanes.each() {
            let row = &rows[index];
            let sentence = &sentences[row.sentence];
            // A screen reader gets each sentence once, in full.
            if spoken != Some(row.sentence) {
                spoken = Some(row.sentence);
                let response = self.explained(lane, (what, row.sentence), || match sentence.sign {
                    Sign::Wrong => format!("Wrong: {}", sentence.text),
                    _ => sentence.text.clone(),
                });
                self.focus_ring(&response);
            }
            let heading = sentence.sign == Sign::Heading;
            let ink =
                if heading || sentence.sign == Sign::Open { theme.ink_soft } else { theme.ink };
            let left = if heading { 0.0 } else { indent };
            let at = pos2(list.left() + left, lane.center().y);
            let text = self.line(&row.text, style.small, ink).paint(at, Align2::LEFT_CENTER);
            if heading {
                let rule = Stroke::new(1.0, theme.rule);
                let x = text.right() + style.len(8.0)..=list.right();
                if x.start() < x.end() {
                    self.painter().hline(x, text.center().y, rule);
                }
            } else if row.first {
                self.sign(pos2(list.left() + style.len(5.0), lane.center().y), sentence);
            }
        }
        scroll.bar_beside(self, &lanes, what);
    }

    fn sign(&self, at: Pos2, sentence: &Sentence) {
        let (theme, painter) = (self.theme(), self.painter());
        let reach = self.len(3.4);
        match sentence.sign {
            Sign::Heading | Sign::Plain => {}
            Sign::Holds => {
                painter.circle_filled(at, reach, theme.ink);
            }
            Sign::Open => {
                painter.circle_stroke(at, reach, Stroke::new(self.len(1.4), theme.ink_soft));
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

    fn sentence_rows(&self, sentences: &[Sentence], width: f32) -> Vec<SentenceRow> {
        let rows = sentences.iter().enumerate().map(|(sentence, Sentence { text, .. })| {
            let rows = self.rows(text, self.style.small, width).into_iter().enumerate();
            rows.map(move |(place, text)| SentenceRow { sentence, text, first: place == 0 })
        });
        rows.flatten().collect()
    }
}
