//! The notes of the selected take against the chords of its tune: shares of chord tones and guide tones,
//! phrase by phrase, and the chorus with what was played over it.

use crate::command::Command;
use crate::panel::frame::{Frame, List};
use crate::panel::state::takes::Detail;
use crate::panel::takes::figures::{self, FigureRow};
use crate::panel::takes::text::{self, caption};
use crate::panel::tune::chart;
use crate::panel::widgets::{Pen, beside_a_bar, help, split_top};
use egui::{Align2, Rangef, Rect, Role, Sense, WidgetInfo, pos2};
use overbar_core::phrase::Phrase;
use overbar_core::stats::Share;
use overbar_core::theory::counts::HarmonyCounts;

const NO_CHORDS: &str = "This tune has no chords yet. Enter them under Tune.";

/// From this height on there is room for the chart, and for the phrases. In points at the default size.
const FOR_CHART: f32 = 330.0;
const FOR_PHRASES: f32 = 60.0;

/// The share of the height that the chart takes.
const CHART: f32 = 0.36;

/// The view, filling its area.
pub fn chords(f: &mut Frame<'_>) {
    let area = f.area();
    let Some(one) = f.view.shown_take_detail() else { return };
    let Some(harmony) = &one.harmony else { return f.say(area, NO_CHORDS) };
    let rows = rows(&harmony.take);
    let under = caption(f, area, "notes against the chords");
    let bottom = figures::figures(f, under, &rows, figures::pitch(f, false));
    let mut below = area.with_min_y(bottom + f.len(6.0));
    if harmony.take.notes_without_chord > 0 {
        let without = format!("Notes without a chord symbol: {}", harmony.take.notes_without_chord);
        let (lane, rest) = split_top(below, text::row(f) + f.len(4.0));
        f.label(lane, "without", || without.clone());
        f.soft(without).paint(lane.min, Align2::LEFT_TOP);
        below = rest;
    }
    if let Some(form) = one.form.as_ref().filter(|_| area.height() >= f.len(FOR_CHART)) {
        let (rest, place) = below.split_top_bottom_at_y(below.bottom() - area.height() * CHART);
        let place = caption(f, place, "what was played over them");
        f.inside(place, "chart", |f| chart::chart(f, place, form));
        below = rest.with_max_y(rest.bottom() - f.len(8.0));
    }
    if below.height() >= f.len(FOR_PHRASES) {
        let under = caption(f, below, "chord tones, phrase by phrase");
        phrases(f, under);
    }
}

fn rows(counts: &HarmonyCounts) -> Vec<FigureRow> {
    let tones = [
        ("chord tones, all notes", counts.notes.chord_tones),
        ("guide tones, all notes", counts.notes.guide_tones),
        ("chord tones on strong beats", counts.on_strong_beats.chord_tones),
        ("guide tones on strong beats", counts.on_strong_beats.guide_tones),
        ("chord tones at a chord change", counts.arrivals.chord_tones),
        ("guide tones at a chord change", counts.arrivals.guide_tones),
    ];
    let tones = tones.into_iter().filter(|(_, share)| share.of > 0);
    let anticipated = ("anticipated changes", counts.entries_before_change);
    let rows = tones.map(|(name, share)| FigureRow::notes(name, share));
    let phrases =
        (anticipated.1.of > 0).then(|| FigureRow::share(anticipated.0, anticipated.1, None));
    rows.chain(phrases).collect()
}

/// A row for each phrase, in as many columns as there is room for.
fn phrases(f: &mut Frame<'_>, area: Rect) {
    let Some(one) = f.view.shown_take_detail() else { return };
    let all = &f.view.snapshot.phrases;
    let columns = ((area.width() / f.len(250.0)) as usize).max(1);
    let pitch = text::row(f) + f.len(3.0);
    let wide = beside_a_bar(f.style, area).width() / columns as f32;
    let before = f.view.snapshot.phrases_before;
    let rows = (pitch, all.len().div_ceil(columns));
    let list = List::new("phrases", area, rows, |state| &mut state.takes.scroll);
    f.list(list, |f, row, lane| {
        for column in 0..columns {
            let index = row * columns + column;
            let Some(phrase) = all.get(index) else { return };
            let left = lane.left() + column as f32 * wide;
            let place = Rect::from_x_y_ranges(left..=left + wide - f.len(14.0), lane.y_range());
            let counts = one.phrase_on_chords(phrase.first_note);
            let share = counts.map_or(Share { count: 0, of: 0 }, |of| of.notes.chord_tones);
            if phrase_row(f, place, (before + index, phrase), share) {
                f.state.note = None;
                f.ask(Command::Choose(Some(phrase.first_note)));
                f.state.takes.open(Detail::Phrases);
            }
        }
    });
}

/// Returns whether it was pressed.
fn phrase_row(pen: &Pen<'_>, lane: Rect, (index, phrase): (usize, &Phrase), share: Share) -> bool {
    let response = pen.interact(lane, ("phrase", index), Sense::click());
    let bar = phrase.entry.bar;
    let count = format!("{} of {}", share.count, share.of);
    response.widget_info(|| {
        let label = format!("phrase {}, bar {bar}: chord tones {count}", index + 1);
        WidgetInfo::labeled(Role::Button, true, label)
    });
    pen.chosen_ground(lane, false, &response);
    let middle = lane.center().y;
    let name = pen.widest(["888 · bar 888"]) + pen.len(8.0);
    let text = format!("{} · bar {bar}", index + 1);
    pen.soft(text).paint(lane.left_center(), Align2::LEFT_CENTER);
    let right = lane.right() - pen.widest(["88 of 88"]) - pen.len(8.0);
    pen.small(count).paint(pos2(lane.right(), middle), Align2::RIGHT_CENTER);
    let line = Rangef::new(lane.left() + name, right);
    if line.span() >= pen.len(24.0) {
        pen.scale_line(line, middle, None, None, share.share().map(|share| share as f32));
    }
    pen.explain(response, help::PHRASE_ON_CHORDS).clicked()
}
