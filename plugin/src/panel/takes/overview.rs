//! A take at a glance: its choruses as small pictures of their phrases, its figures over the range of
//! recorded solos, and its time feel.

use crate::panel::frame::Frame;
use crate::panel::playing::OFF_BEAT_STARTS;
use crate::panel::takes::columns::beat_one_norm;
use crate::panel::takes::figures::{self, FigureRow};
use crate::panel::takes::picture::phrases_on_a_line;
use crate::panel::takes::text::{self, caption};
use crate::panel::widgets::{button, split_top};
use crate::panel::words;
use crate::view_model::hear::{HearRequest, HearWhat};
use crate::view_model::take_detail::TakeDetail;
use egui::{Align2, Rect, Vec2, pos2};
use overbar_core::analysis::parts::{PartName, PartRow};
use overbar_core::output::feel_words;
use overbar_core::output::words::capital;
use overbar_core::phrase::Phrase;
use overbar_core::study::advice::measure::Measure;
use overbar_core::study::advice::norm::norm;
use overbar_core::time::metre::Metre;

/// Minimum width of a chorus's picture, in points at the default size.
const MIN_PICTURE: f32 = 96.0;

/// Minimum height of the lanes of a picture, and of all pictures if the legend of the figures fits. In points
/// at the default size.
const MIN_LANES: f32 = 26.0;
const ROOMY: f32 = 100.0;

/// The view, filling its area.
pub fn overview(f: &mut Frame<'_>) {
    let area = f.area();
    let Some(one) = f.view.shown_take_detail() else { return };
    let rows = figure_rows(f);
    let feel = feel_words::lines(&one.feel);
    let axis = figures::axis_height(f);
    // The figures with their axis, the time feel with its own, and the legend.
    let least = |pitch: f32, more: f32| pitch * (rows.len() as f32 + 2.0 + more) + axis * 2.0;
    let tight = least(figures::pitch(f, false), 2.0) + f.len(ROOMY) > area.height();
    let pitch = figures::pitch(f, tight);
    // In a large window the rows are further apart.
    let spare = area.height() * 0.6 - least(pitch, 2.0 + feel.len() as f32);
    let pitch = pitch + (spare / (rows.len() as f32 + 2.0)).clamp(0.0, f.len(8.0));
    let wanted = least(pitch, if tight { 0.0 } else { 2.0 }) + f.len(6.0);
    let pictures = (area.height() - wanted).min(area.height() * 0.4);
    let legend = if tight { 0.0 } else { pitch };
    let mut below = area;
    let around = text::row(f) + button::height(f.style) + f.len(12.0);
    if pictures >= around + f.len(MIN_LANES) {
        let (top, rest) = split_top(area, pictures);
        choruses(f, top.with_max_y(top.bottom() - f.len(8.0)), one);
        below = rest;
    }
    let foot = below.with_min_y(below.bottom() - legend);
    below.max.y = foot.top();
    let used = figures::figures(f, below, &rows, pitch);
    let rest = below.with_min_y(used + f.len(if tight { 2.0 } else { 6.0 }));
    let under = if tight { rest } else { caption(f, rest, "time feel") };
    if under.height() + 1.0 >= pitch * 2.0 + axis {
        let used = figures::time_feel(f, under, &one.feel, pitch);
        lines(f, under.with_min_y(used), &feel);
    }
    if !tight {
        figures::legend(f, foot);
    }
}

/// The time feel in words, as many lines as fit.
fn lines(f: &Frame<'_>, area: Rect, feel: &[String]) {
    let row = text::row(f);
    for (place, line) in feel.iter().enumerate() {
        let lane = split_top(area.with_min_y(area.top() + place as f32 * row), row).0;
        if lane.bottom() > area.bottom() {
            return;
        }
        let text = capital(&words::with_likely_range(line));
        f.label(lane, ("feel", place), || text.clone());
        let text = f.cut(&text, f.style.small, f.theme().ink_soft, lane.width());
        text.paint(lane.left_center(), Align2::LEFT_CENTER);
    }
}

/// The figures of the shown take.
pub fn figure_rows(f: &Frame<'_>) -> Vec<FigureRow> {
    let snapshot = f.view.snapshot;
    let figures = &snapshot.figures;
    let all_common = snapshot.metres.stretches().iter().all(|s| s.metre == Metre::COMMON);
    let known = |band: (f64, f64)| all_common.then_some(band);
    let exits = norm(Measure::OnBeatExits);
    vec![
        FigureRow::share("off-beat starts", figures.off_beat_entries, known(OFF_BEAT_STARTS)),
        FigureRow::share("starts on beat one", figures.beat_one_entries, known(beat_one_norm())),
        FigureRow::share(
            "off-beat endings",
            figures.off_beat_exits,
            known((1.0 - exits.upper, 1.0 - exits.lower)),
        ),
        FigureRow::share("cross the bar line", figures.over_the_bar, None),
        FigureRow::part("space (time at rest)", figures.rest_share),
    ]
}

/// A chorus's picture: its name, its share of off-beat starts, its phrases.
struct Picture<'a> {
    name: String,
    chorus: Option<i64>,
    share: Option<f64>,
    phrases: &'a [Phrase],
}

/// The choruses side by side, or the solos, or the whole take.
fn choruses(f: &mut Frame<'_>, area: Rect, one: &TakeDetail) {
    let phrases = &f.view.snapshot.phrases[..];
    let parts = match (one.parts.choruses.as_slice(), one.parts.solos.as_slice()) {
        ([], solos) if solos.len() > 1 => solos,
        (choruses, _) => choruses,
    };
    let (title, pictures): (&str, Vec<Picture<'_>>) = match parts {
        [] => ("phrases, aligned to the bar line", vec![whole(f, phrases)]),
        parts => {
            let title = match parts[0].part {
                PartName::Solo(_) => "solo by solo",
                _ => "chorus by chorus",
            };
            (title, parts.iter().map(|part| picture(part, phrases)).collect())
        }
    };
    let under = caption(f, area, title);
    let names =
        f.widest(["chorus 88"]) + button::height(f.style) + f.widest(["100 %"]) + f.len(26.0);
    let fit = ((under.width() / f.len(MIN_PICTURE).max(names)) as usize).max(1);
    let shown = pictures.len().min(fit);
    let skipped = pictures.len() - shown;
    if skipped > 0 {
        let text = format!("last {shown} of {}", pictures.len());
        f.soft(text).paint(area.right_top(), Align2::RIGHT_TOP);
    }
    let wide = (under.width() / shown.max(1) as f32).min(f.len(420.0));
    for (place, picture) in pictures.iter().skip(skipped).enumerate() {
        let left = under.left() + place as f32 * wide;
        let cell = Rect::from_x_y_ranges(left..=left + wide - f.len(10.0), under.y_range());
        paint(f, cell, (skipped + place, picture));
    }
}

fn whole<'a>(f: &Frame<'_>, phrases: &'a [Phrase]) -> Picture<'a> {
    let share = f.view.snapshot.figures.off_beat_entries.share();
    Picture { name: "whole take".to_owned(), chorus: None, share, phrases }
}

fn picture<'a>(part: &PartRow, phrases: &'a [Phrase]) -> Picture<'a> {
    let name = match &part.part {
        PartName::Solo(number) => format!("solo {number}"),
        PartName::Chorus(number) => format!("chorus {number}"),
        PartName::Section(label) => label.clone(),
    };
    let chorus = match part.part {
        PartName::Chorus(number) => Some(number),
        _ => None,
    };
    let from = part.first_note.unwrap_or(usize::MAX);
    let first = phrases.partition_point(|phrase| phrase.first_note < from);
    let last = (first + part.figures.phrases as usize).min(phrases.len());
    let phrases = phrases.get(first.min(last)..last).unwrap_or_default();
    Picture { name, chorus, share: part.figures.off_beat.share(), phrases }
}

/// Phrases on one bar line, the last ones that fit, with name and share below.
fn paint(f: &mut Frame<'_>, cell: Rect, (index, picture): (usize, &Picture<'_>)) {
    let foot = button::height(f.style);
    let lanes = cell.with_max_y(cell.bottom() - foot - f.len(2.0));
    let share = picture.share.map_or_else(|| "–".to_owned(), words::percent);
    f.label(cell, ("picture", index), || {
        let phrases = words::count(picture.phrases.len(), "phrase", "phrases");
        format!("{}: {phrases}, off-beat starts {share}", picture.name)
    });
    phrases_on_a_line(f, lanes, picture.phrases);
    let middle = cell.bottom() - foot / 2.0;
    let name = f.soft(&picture.name).paint(pos2(cell.left(), middle), Align2::LEFT_CENTER);
    let of = picture.chorus.zip(f.view.shown_take());
    // The button comes before the name of the share.
    let hear = of.map_or(0.0, |_| f.hear_size().x + f.len(6.0));
    let room = cell.right() - name.right() - hear - f.len(6.0);
    let texts = [format!("{share} off-beat starts"), share.clone()];
    let line = f.fitting(&texts, f.style.small, f.theme().ink, room);
    let line = line.unwrap_or_else(|| f.small(share));
    let share = line.paint(pos2(cell.right(), middle), Align2::RIGHT_CENTER);
    let Some((chorus, take)) = of else { return };
    let left = name.right() + f.len(6.0);
    let sizes = [f.hear_size(), Vec2::splat(foot)];
    let fits = |size: &Vec2| left + size.x + f.len(6.0) <= share.left();
    if let Some(size) = sizes.into_iter().find(fits) {
        let what = HearWhat::Chorus { take: take.id, chorus };
        let called = format!("chorus {chorus} of {}", f.view.model.called(take));
        let place = Rect::from_min_size(pos2(left, cell.bottom() - foot), size);
        f.hear(place, &HearRequest { what, called });
    }
}
