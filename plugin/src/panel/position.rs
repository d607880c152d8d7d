//! The position in the song: bar, beat and tempo, their source, and how sure they are.

use crate::panel::view::View;
use crate::panel::widgets::Pen;
use egui::{Align2, CornerRadius, Pos2, Rect, pos2, vec2};

/// Bars with more pulses than this have no dots.
const MAX_DOTS: u8 = 15;

/// The position in the song.
#[derive(Debug, Clone, Copy)]
pub struct Now {
    bar: i64,
    /// From 1.
    pub pulse: u8,
    pulses: u8,
    tempo: Option<f64>,
    /// The beat source, if it is not the host.
    from: Option<&'static str>,
    /// It is not sure.
    about: bool,
}

impl Now {
    pub fn of(view: &View<'_>) -> Option<Self> {
        let beat = view.playhead?;
        let (bar, pulse) = view.snapshot.bar_and_pulse(beat);
        let pulses = view.snapshot.pulses_in(view.snapshot.metres.metre_at(beat));
        // The cast saturates; a bar has at most 64 pulses.
        let pulse = pulse.floor() as u8;
        let own = view.snapshot.own_beat;
        let about = own.is_some_and(|beat| beat.doubt.is_some());
        let from = own.map(|beat| if beat.from_band { "from the band" } else { "from taps" });
        Some(Self { bar, pulse, pulses, tempo: view.tempo, from, about })
    }

    /// "bar 3 · beat 2".
    fn place(&self) -> String {
        let about = if self.about { "about " } else { "" };
        format!("{about}bar {} · beat {}", self.bar, self.pulse)
    }

    /// The tempo and the beat source.
    fn tempo(&self) -> Option<String> {
        let tempo = format!("{:.0} BPM", self.tempo?);
        Some(self.from.map_or_else(|| tempo.clone(), |from| format!("{tempo} {from}")))
    }

    pub fn words(&self) -> String {
        let tempo = self.tempo().map_or_else(String::new, |tempo| format!(", {tempo}"));
        let about = if self.about { "about " } else { "" };
        format!("{about}bar {}, beat {}{tempo}", self.bar, self.pulse)
    }

    /// Text at the right of `free` and, if there is room, a dot for each pulse before it.
    pub fn paint(&self, pen: &Pen<'_>, free: Rect) {
        let place = self.place();
        let tempo = self.tempo().map_or_else(String::new, |tempo| format!(" · {tempo}"));
        let from = self.from.map(|from| format!("{place} · {from}"));
        let texts: Vec<String> =
            [format!("{place}{tempo}")].into_iter().chain(from).chain([place]).collect();
        let ink = pen.theme().ink;
        let Some(words) = pen.fitting(&texts, pen.style.body, ink, free.width()) else { return };
        let place = words.paint(free.right_center(), Align2::RIGHT_CENTER);
        let step = pen.len(12.0).max(9.0);
        let pulses = self.pulses;
        let room = place.left() - pen.len(16.0) - free.left();
        if pulses > MAX_DOTS || f32::from(pulses) * step > room {
            return;
        }
        // The text changes its width from beat to beat; the dots must stay in place.
        let widest =
            pen.line(format!("bar 888 · beat 88{tempo}"), pen.style.body, pen.theme().ink).width();
        let right = free.right() - words.width().max(widest) - pen.len(10.0);
        let first = right - f32::from(pulses) * step;
        if first < free.left() {
            return;
        }
        for pulse in 1..=pulses {
            let at = pos2(first + (f32::from(pulse) - 0.5) * step, free.center().y);
            paint_dot(pen, at, pulse, pulse == self.pulse);
        }
    }
}

/// Beat one is square, as everywhere in the panel.
fn paint_dot(pen: &Pen<'_>, at: Pos2, pulse: u8, now: bool) {
    let (radius, color) = match now {
        true => (pen.len(4.2).max(3.4), pen.theme().ink),
        false => (pen.len(2.4).max(2.0), pen.theme().ink_soft),
    };
    if pulse == 1 {
        let square = Rect::from_center_size(at, vec2(radius, radius) * 1.9);
        pen.painter().rect_filled(square, CornerRadius::ZERO, color);
    } else {
        pen.painter().circle_filled(at, radius, color);
    }
}

/// The tapping message, with the position if both fit.
pub fn paint_message(pen: &Pen<'_>, now: Option<Now>, message: String, free: Rect) {
    let place = now.map(|now| now.place());
    let both = place.as_ref().map(|place| format!("{place} · {message}"));
    let texts: Vec<String> = both.into_iter().chain([message]).chain(place).collect();
    let ink = pen.theme().ink;
    if let Some(words) = pen.fitting(&texts, pen.style.body, ink, free.width()) {
        words.paint(free.right_center(), Align2::RIGHT_CENTER);
    }
}
