//! Puts a take on its own beat grid. The host's tempo and metres are kept, so that its grid can return.

use super::own_grid::OwnGrid;
use super::performance::Performance;
use crate::grid::anchors::Anchors;
use crate::grid::beat_grid::{BeatGrid, Certainty};
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::TempoMap;
use crate::time::{Moment, Second};

impl Performance {
    /// Puts the take on the grid of these anchors, or with `None` back on the host's, and restamps every
    /// note. If the host's grid is empty, notes keep their beats.
    pub fn set_grid(&mut self, anchors: Option<&Anchors>) {
        let (host_tempo, host_metres) = match self.own_grid.take() {
            Some(own) => (own.host_tempo, own.host_metres),
            None => (core::mem::take(&mut self.tempo), self.metres.clone()),
        };
        match anchors {
            None => (self.tempo, self.metres) = (host_tempo, host_metres),
            Some(anchors) => {
                let grid = BeatGrid::of(anchors);
                self.tempo = grid.tempo().clone();
                self.metres = grid.metres().clone();
                let own = OwnGrid { anchors: anchors.clone(), host_tempo, host_metres };
                self.own_grid = Some(Box::new(own));
            }
        }
        self.restamp_all();
    }

    /// Restamps every note by the tempo map; if that is empty, notes keep their beats.
    pub fn restamp_all(&mut self) {
        let start = Second(f64::NEG_INFINITY);
        self.soloist.restamp(start, |second| self.tempo.beat_at(second));
        self.ignored.restamp(start, |second| self.tempo.beat_at(second));
    }

    /// How reliable its own grid is, from its first note to its last one.
    #[must_use]
    pub fn certainty(&self) -> Option<Certainty> {
        let own = self.own_grid.as_deref()?;
        let (from, to) = self.span()?;
        Some(BeatGrid::of(&own.anchors).certainty(from, to))
    }

    /// The host's tempo, whichever grid the take is on.
    #[must_use]
    pub fn host_tempo(&self) -> &TempoMap {
        self.own_grid.as_deref().map_or(&self.tempo, |own| &own.host_tempo)
    }

    /// The host's metres, whichever grid the take is on.
    #[must_use]
    pub fn host_metres(&self) -> &MetreMap {
        self.own_grid.as_deref().map_or(&self.metres, |own| &own.host_metres)
    }

    /// The host's tempo and metres, to continue them.
    pub fn host_grid_mut(&mut self) -> (&mut TempoMap, &mut MetreMap) {
        match &mut self.own_grid {
            Some(own) => (&mut own.host_tempo, &mut own.host_metres),
            None => (&mut self.tempo, &mut self.metres),
        }
    }

    /// From its first attack to its last one.
    #[must_use]
    pub fn span(&self) -> Option<(Second, Second)> {
        let at = |moment: Moment| moment.second;
        let lines = [self.soloist.notes(), self.ignored.notes()];
        let first = lines.iter().filter_map(|line| line.first()).map(|note| at(note.on));
        let last = lines.iter().filter_map(|line| line.last()).map(|note| at(note.on));
        Some((first.reduce(Second::earlier)?, last.reduce(Second::later)?))
    }

    /// The anchors to correct by hand: its own, else those of the host's grid.
    #[must_use]
    pub fn anchors(&self) -> Option<Anchors> {
        match &self.own_grid {
            Some(own) => Some(own.anchors.clone()),
            None => Anchors::of_host(&self.tempo, &self.metres, self.span()?),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::follower::follow;
    use crate::take::invented::take;
    use crate::time::metre::Metre;
    use crate::time::{Beat, SecondSpan, Tempo};

    fn beats(take: &Performance) -> Vec<f64> {
        let rounded = |beat: Beat| (beat.0 * 1e6).round() / 1e6;
        take.soloist.notes().iter().map(|note| rounded(note.on.beat)).collect()
    }

    #[test]
    fn notes_are_restamped_and_the_hosts_grid_returns() {
        // Played at 90 BPM with the host at 120: its eighths are no eighths there.
        let host = take(120.0, &[(2, 1.0, &[2.0 / 3.0; 4])]);
        assert_eq!(beats(&host), [4.0, 4.666_667, 5.333_333, 6.0]);
        let taps = (0..8).map(|tap| Second(f64::from(tap - 1) * 2.0 / 3.0));
        let anchors = follow(taps, Metre::COMMON, SecondSpan(0.0)).anchors().unwrap();
        let mut own = host.clone();
        own.set_grid(Some(&anchors));
        assert_eq!(beats(&own), [0.0, 0.5, 1.0, 1.5]);
        assert_eq!(own.certainty().map(|certainty| certainty.is_approximate()), Some(false));
        let off = own.soloist.notes()[3].off.unwrap();
        assert!((off.beat.0 - 2.0).abs() < 1e-6);
        // After a correction the host's grid can still return.
        own.set_grid(Some(&anchors.with_beat_one_later(Second(2.0), 1).unwrap()));
        assert_eq!(beats(&own), [-1.0, -0.5, 0.0, 0.5]);
        own.set_grid(None);
        assert_eq!(beats(&own), beats(&host));
        assert_eq!((own.tempo, own.own_grid), (host.tempo, None));
    }

    #[test]
    fn a_hosts_grid_can_be_corrected_by_hand() {
        let host = take(120.0, &[(2, 1.0, &[0.5; 16]), (5, 1.0, &[0.5; 8])]);
        let anchors = host.anchors().unwrap();
        let mut own = host.clone();
        own.set_grid(Some(&anchors));
        assert_eq!(beats(&own), beats(&host));
        own.set_grid(Some(&anchors.with_beat_one_at(Second(2.5)).unwrap()));
        assert_eq!(beats(&own).first(), Some(&3.0));
        assert_eq!(own.anchors().unwrap().all().len(), anchors.all().len());
        assert_eq!(Performance::default().anchors(), None);
        assert!(own.tempo.tempo_at(Beat(8.0)).is_some_and(|tempo| {
            (tempo.quarters_a_minute() - Tempo::new(120.0).unwrap().quarters_a_minute()).abs()
                < 1e-6
        }));
    }
}
