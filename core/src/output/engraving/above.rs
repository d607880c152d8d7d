//! The rows above a staff, from the bottom: chords, then bar numbers and section letters, then phrase
//! brackets, then the tempo. Rows never touch.

use super::mark::{Anchor, DESCENT, Mark, Role, Shape, text_width};

/// Type sizes.
pub(super) const CHORD: f64 = 2.3;
pub(super) const NUMBER: f64 = 1.7;
const LABEL: f64 = 1.7;
const TEMPO: f64 = 1.9;

/// Space between rows, and between words side by side.
const ROW: f64 = 0.6;
pub(super) const ASIDE: f64 = 0.8;

/// From baseline to baseline, in em.
const LEADING: f64 = 1.3;

/// Length of a bracket's hooks, and its thickness.
const HOOK: f64 = 0.8;
const BRACKET: f64 = 0.18;

/// Words at a position.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Word {
    pub text: String,
    pub x: f64,
    pub role: Role,
}

/// The bracket of a phrase on a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bracket<'a> {
    pub phrase: usize,
    pub from: f64,
    pub to: f64,
    /// It starts on this line, and ends on it.
    pub opens: bool,
    pub closes: bool,
    pub labels: Option<&'a [String; 2]>,
}

/// Draws the rows of a line of this width, from `top` upwards.
pub(super) fn rows(
    top: f64,
    width: f64,
    chords: Vec<Word>,
    numbers: Vec<Word>,
    brackets: &[Bracket<'_>],
    tempos: Vec<Word>,
    marks: &mut Vec<Mark>,
) {
    let mut top = words(top, width, chords, CHORD, marks);
    top = words(top, width, numbers, NUMBER, marks);
    if !brackets.is_empty() {
        top = self::brackets(top, width, brackets, marks);
    }
    words(top, width, tempos, TEMPO, marks);
}

/// Draws words side by side; a word that would touch the one before goes a row higher.
fn words(top: f64, width: f64, words: Vec<Word>, size: f64, marks: &mut Vec<Mark>) -> f64 {
    let mut upper = top;
    // The right end of each row.
    let mut rows: Vec<f64> = Vec::new();
    for Word { text, x, role } in words {
        let room = text_width(&text, size);
        let x = x.min(width - room).max(0.0);
        let row = rows.iter().position(|end| *end <= x).unwrap_or(rows.len());
        rows.resize(rows.len().max(row + 1), 0.0);
        if let Some(end) = rows.get_mut(row) {
            *end = x + room + ASIDE / 2.0;
        }
        let above = f64::from(u32::try_from(row).unwrap_or_default()) * size * LEADING;
        let baseline = top - ROW - DESCENT * size - above;
        let shape = Shape::Text { text, at: (x, baseline), size, anchor: Anchor::Start };
        upper = upper.min(shape.bounds().top);
        marks.push(Mark { shape, role });
    }
    upper
}

fn brackets(top: f64, width: f64, brackets: &[Bracket<'_>], marks: &mut Vec<Mark>) -> f64 {
    let line = top - ROW - HOOK;
    for (index, bracket) in brackets.iter().enumerate() {
        let role = Role::Phrase(bracket.phrase);
        let mut draw =
            |from, to| marks.push(Mark { shape: Shape::Line { from, to, width: BRACKET }, role });
        draw((bracket.from, line), (bracket.to, line));
        if bracket.opens {
            draw((bracket.from, line), (bracket.from, line + HOOK));
        }
        if bracket.closes {
            draw((bracket.to, line), (bracket.to, line + HOOK));
        }
        let room = brackets.get(index + 1).map_or(width, |next| next.from - ASIDE) - bracket.from;
        let fits = |label: &&String| text_width(label, LABEL) <= room;
        let Some(text) = bracket.labels.and_then(|labels| labels.iter().find(fits)) else {
            continue;
        };
        let at = (bracket.from, line - ROW);
        marks.push(Mark {
            shape: Shape::Text { text: text.clone(), at, size: LABEL, anchor: Anchor::Start },
            role,
        });
    }
    line - ROW - LABEL
}
