//! The written line: phrases of figures, rests between them, and a wandering melody.

use super::figures::{Figure, STARTS, Start, figures};
use super::random::{chance, weighted};
use super::{Bar, Intent};
use fastrand::Rng;

/// A note as written. Places are counted in beats from the start of bar 1, which is 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Written {
    /// The beat it lies in.
    pub beat: u32,
    /// The parts that beat is divided in.
    pub division: u8,
    /// The one it lies on, from 0.
    pub step: u8,
    /// Where its written value ends.
    pub end: f64,
    /// From 0 to 127.
    pub key: u8,
    /// It begins a phrase.
    pub first: bool,
}

impl Written {
    /// Its place.
    pub fn place(&self) -> f64 {
        f64::from(self.beat) + f64::from(self.step) / f64::from(self.division)
    }

    /// It, as a player means to play it.
    pub fn intent(&self, accent: bool) -> Intent {
        Intent { place: self.place(), swings: self.swings(), accent }
    }

    /// Whether it is a binary eighth off the beat, which swing delays.
    pub fn swings(&self) -> bool {
        self.division == 2 && self.step == 1
    }
}

/// What a line is written for.
#[derive(Debug, Clone, Copy)]
pub struct Page {
    /// A bar of its metre.
    pub bar: Bar,
    /// How many bars it fills, the count-in among them.
    pub bars: u32,
    /// Beats a minute.
    pub tempo: f64,
    /// Its eighths swing.
    pub swings: bool,
}

/// Notes of a phrase.
const SHORTEST_PHRASE: u32 = 3;
const LONGEST_PHRASE: u32 = 40;

/// Beats of rest between phrases, and the least in seconds.
const SHORTEST_REST: f64 = 1.0;
const LONGEST_REST: f64 = 6.0;
const MIN_REST_SECONDS: f64 = 0.5;

/// Sixteenths are not played where they would last less than this, in seconds: in simple metres
/// from 200 beats a minute on.
const SHORTEST_SIXTEENTH: f64 = 0.075;

/// How often a beat has the figure of the one before. Origin: common practice, no source.
const SAME_FIGURE: f64 = 0.5;

/// Lowest and highest key, and the widest step of the melody in semitones.
const KEYS: (i32, i32) = (52, 82);
const WIDEST_STEP: i32 = 4;

/// Writes a line.
pub fn write(page: Page, random: &mut Rng) -> Vec<Written> {
    let mut line = Vec::new();
    let bar = f64::from(page.bar.beats);
    let end = page.bars * page.bar.beats;
    let least_rest = MIN_REST_SECONDS * page.tempo / 60.0;
    let mut window = (bar.max(least_rest), 2.0 * bar);
    while let Some(start) = page.start(window, random) {
        let phrase = page.phrase(start, end, random);
        match phrase.last() {
            Some(last) if phrase.len() >= SHORTEST_PHRASE as usize => {
                let rest_from = last.end + SHORTEST_REST.max(least_rest);
                window = (rest_from, last.end + LONGEST_REST);
            }
            // The page is full.
            _ => break,
        }
        line.extend(phrase);
    }
    write_melody(&mut line, random);
    line
}

/// Where a phrase begins.
#[derive(Debug, Clone, Copy)]
struct Opening {
    beat: u32,
    division: u8,
    step: u8,
}

impl Page {
    fn has_sixteenths(&self) -> bool {
        let parts = Start::Sixteenth.steps(self.bar.in_three, self.swings).0;
        60.0 / self.tempo / f64::from(parts) >= SHORTEST_SIXTEENTH
    }

    /// Draws the kind of place first, then one of the places of that kind inside the window, or
    /// the next one after it. `None` where that is past the page.
    fn start(&self, window: (f64, f64), random: &mut Rng) -> Option<Opening> {
        let sixteenths = self.has_sixteenths();
        let kinds = STARTS.into_iter().filter(|(_, s)| sixteenths || *s != Start::Sixteenth);
        let kind = weighted(kinds, random)?;
        let (division, steps) = kind.steps(self.bar.in_three, self.swings);
        let pulses = self.bar.beats;
        let places = (window.0.floor() as u32..self.bars * pulses)
            .filter(|beat| match kind {
                Start::One => beat.is_multiple_of(pulses),
                // A bar of one beat has no other.
                Start::Beat => !beat.is_multiple_of(pulses) || pulses == 1,
                _ => true,
            })
            .flat_map(|beat| steps.iter().map(move |step| Opening { beat, division, step: *step }))
            .filter(|opening| opening.place() >= window.0);
        let inside: Vec<_> = places.clone().take_while(|o| o.place() <= window.1).collect();
        random.choice(inside).or_else(|| places.clone().next())
    }

    /// The notes of a phrase, up to the end of the page. Keys come later.
    fn phrase(&self, start: Opening, end: u32, random: &mut Rng) -> Vec<Written> {
        // Short ones are more frequent: half of them have 12 notes at most.
        let skew = random.f64();
        let longer = f64::from(LONGEST_PHRASE - SHORTEST_PHRASE + 1);
        let wanted = (SHORTEST_PHRASE + (skew * skew * longer) as u32) as usize;
        let mut notes: Vec<Written> = Vec::new();
        let mut figure: Option<Figure> = None;
        for beat in start.beat..end {
            let opens = beat == start.beat;
            let (division, steps) = if opens && start.step > 0 {
                (start.division, (start.step..start.division).collect())
            } else {
                let next = self.figure(figure, opens, random);
                figure = Some(next);
                (next.division, next.steps.to_vec())
            };
            for step in steps {
                let note = Written { beat, division, step, end: 0.0, key: 0, first: false };
                if let Some(before) = notes.last_mut() {
                    before.end = note.place();
                    if notes.len() == wanted {
                        return notes;
                    }
                }
                let first = notes.is_empty();
                notes.push(Written { end: f64::from(beat + 1), first, ..note });
            }
        }
        notes
    }

    fn figure(&self, before: Option<Figure>, opens: bool, random: &mut Rng) -> Figure {
        let all = figures(self.bar.in_three);
        if let Some(same) = before.filter(|_| chance(SAME_FIGURE, random)) {
            return same;
        }
        let sixteenths = self.has_sixteenths();
        let playable = all.iter().filter(|f| sixteenths || f.division <= 3);
        let fitting = playable.filter(|f| !opens || f.steps.first() == Some(&0));
        weighted(fitting.map(|f| (f.weight, *f)), random).unwrap_or(all[0])
    }
}

impl Opening {
    fn place(&self) -> f64 {
        f64::from(self.beat) + f64::from(self.step) / f64::from(self.division)
    }
}

/// A random walk over the keys that turns back at both ends.
fn write_melody(line: &mut [Written], random: &mut Rng) {
    let mut key = random.i32(KEYS.0..=KEYS.1);
    for note in line {
        let step = random.i32(-WIDEST_STEP..=WIDEST_STEP);
        let inside = (KEYS.0..=KEYS.1).contains(&(key + step));
        key += if inside { step } else { -step };
        note.key = key as u8;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const THREE_FOUR: Bar = Bar { beats: 3, ..Bar::COMMON };
    const SIX_EIGHT: Bar = Bar { beats: 2, quarters: 1.5, in_three: true };

    fn page(bar: Bar, tempo: f64) -> Page {
        Page { bar, bars: 400, tempo, swings: false }
    }

    /// Splits a line into its phrases.
    fn phrases(line: &[Written]) -> Vec<&[Written]> {
        line.chunk_by(|_, next| !next.first).collect()
    }

    #[test]
    fn phrases_and_rests_keep_to_their_bounds() {
        for (bar, tempo) in
            [(Bar::COMMON, 60.0), (Bar::COMMON, 300.0), (THREE_FOUR, 150.0), (SIX_EIGHT, 90.0)]
        {
            let page = page(bar, tempo);
            let line = write(page, &mut Rng::with_seed(5));
            assert!(line.windows(2).all(|pair| pair[0].place() < pair[1].place()));
            assert!(line[0].place() >= f64::from(page.bar.beats));
            let end = f64::from(page.bars * page.bar.beats);
            assert!(line.iter().all(|note| note.place() < note.end && note.end <= end));
            let phrases = phrases(&line);
            assert!(phrases.len() > 20, "{bar:?}");
            for phrase in &phrases {
                assert!((3..=40).contains(&phrase.len()), "{}", phrase.len());
            }
            for pair in phrases.windows(2) {
                let rest = pair[1][0].place() - pair[0][pair[0].len() - 1].end;
                assert!(rest >= 1.0 && rest * 60.0 / tempo > 0.499, "{rest} at {tempo}");
                // A bar more than asked for, where no place of the kind lies nearer.
                assert!(rest <= 6.0 + f64::from(page.bar.beats), "{rest}");
            }
        }
    }

    #[test]
    fn phrases_begin_as_often_as_the_weights_say() {
        let page = page(Bar::COMMON, 120.0);
        let mut random = Rng::with_seed(9);
        let lines: Vec<Written> = (0..10).flat_map(|_| write(page, &mut random)).collect();
        let starts: Vec<_> = lines.iter().filter(|note| note.first).collect();
        let share = |is: fn(&Written) -> bool| {
            starts.iter().filter(|n| is(n)).count() as f64 / starts.len() as f64
        };
        assert!(starts.len() > 1000);
        assert!((share(|n| n.step == 0) - 0.36).abs() < 0.04);
        assert!((share(|n| n.swings()) - 0.34).abs() < 0.04);
        assert!((share(|n| n.division == 3 && n.step > 0) - 0.08).abs() < 0.03);
        assert!((share(|n| n.division == 4 && n.step > 0) - 0.22).abs() < 0.04);
    }

    #[test]
    fn sixteenths_are_left_out_where_they_are_too_fast() {
        let sixteenths = |bar, tempo| {
            let line = write(page(bar, tempo), &mut Rng::with_seed(3));
            line.iter().filter(|note| note.division > 3).count()
        };
        assert!(sixteenths(Bar::COMMON, 199.0) > 0);
        assert_eq!(sixteenths(Bar::COMMON, 201.0), 0);
        assert!(sixteenths(SIX_EIGHT, 130.0) > 0);
        assert_eq!(sixteenths(SIX_EIGHT, 135.0), 0);
    }

    #[test]
    fn the_melody_stays_in_range_and_moves() {
        let line = write(page(Bar::COMMON, 120.0), &mut Rng::with_seed(1));
        let keys: Vec<i32> = line.iter().map(|note| i32::from(note.key)).collect();
        assert!(keys.iter().all(|key| (KEYS.0..=KEYS.1).contains(key)));
        assert!(keys.windows(2).all(|pair| (pair[0] - pair[1]).abs() <= WIDEST_STEP));
        assert!(keys.iter().max().unwrap() - keys.iter().min().unwrap() > 12);
    }
}
