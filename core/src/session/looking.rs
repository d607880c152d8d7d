//! What of a session is shown: a take, and a phrase in it. Takes are read when someone looks at
//! them, and once.

use super::snapshot::Looking;
use super::{Pass, Session};
use crate::analysis::detail::PhraseDetail;
use crate::analysis::overview::{TakeFigures, TakeOverview};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::session::take_list::TakeRow;
use crate::take::Take;
use crate::take::performance::Performance;
use std::sync::Arc;

/// What is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shown {
    UnderWay,
    /// By index.
    Take(usize),
    Nothing,
}

impl Session {
    /// What is looked at.
    #[must_use]
    pub fn looking(&self) -> Looking {
        self.looking
    }

    /// Shows take `take`, from 1; `None` shows the current one, or the last when none is under
    /// way. A take that there is not is taken for the current one. When the transport is
    /// started, the current take is shown again.
    pub fn look_at(&mut self, take: Option<u32>) {
        let take = take.filter(|take| index(*take).is_some_and(|index| index < self.takes.len()));
        self.looking = Looking { take, note: None };
    }

    /// Looks into the phrase that has note `note` of the take that is shown, by index; `None`
    /// looks into none.
    pub fn choose(&mut self, note: Option<usize>) {
        self.looking.note = note;
    }

    /// A take that is over and whose analysis is asked for: the one that is shown, or else, for
    /// the list, one without figures. Whoever analyses it brings it by [`Session::adopt`];
    /// otherwise the session analyses what is shown by itself.
    #[must_use]
    pub fn unread(&self, for_the_list: bool) -> Option<&Arc<Performance>> {
        let shown = match self.shown() {
            Shown::Take(index) => self.takes.get(index).filter(|take| !self.is_known(take)),
            _ => None,
        };
        let listed = || {
            let figures = |index: usize| self.figures_of.get(index).copied().flatten();
            let mut takes = self.takes.iter().enumerate().filter(|_| for_the_list);
            takes.find(|(index, _)| figures(*index).is_none()).map(|(_, take)| take)
        };
        shown.or_else(listed).map(|take| &take.performance)
    }

    /// Takes in the analysis of a take that is over, for what is shown and for the drill; one of
    /// other notes or settings than there are now is left aside. Whether it was taken in.
    pub fn adopt(&mut self, analysis: &Arc<TakeAnalysis>) -> bool {
        let is_heard = self.drill_hears(analysis);
        self.figures_of.resize(self.takes.len(), None);
        let shown = self.shown();
        let mut is_taken_in = is_heard;
        // Takes may share their notes.
        for (index, take) in self.takes.iter().enumerate() {
            if !analysis.is_of(&take.performance, &self.settings) {
                continue;
            }
            if let Some(slot) = self.figures_of.get_mut(index) {
                *slot = Some(TakeFigures::of(analysis.figures()));
            }
            if shown == Shown::Take(index) {
                self.analysis = Some(analysis.clone());
            }
            is_taken_in = true;
        }
        is_taken_in
    }

    /// Analyses one take of which the list has no figures yet; whether there was one.
    pub fn read_a_take(&mut self) -> bool {
        let Some(take) = self.unread(true).cloned() else { return false };
        self.adopt(&Arc::new(TakeAnalysis::of(take, self.settings)))
    }

    /// Brings `copy` up to date with the take under way, as [`Performance::update_copy`] does. Only
    /// one copy of it can be kept up to date.
    pub fn copy_current(&mut self, copy: &mut Performance, most: usize) -> bool {
        let current = self.pass.as_mut().map(|pass| pass.take.performance_mut());
        current.is_some_and(|current| current.update_copy(copy, most))
    }

    /// Whether all that is shown of `take` is at hand: its analysis, or its overview where no phrase is
    /// looked into.
    fn is_known(&self, take: &Take) -> bool {
        self.is_analysed(take)
            || self.looking.note.is_none() && self.overview_of(&take.performance).is_some()
    }

    fn overview_of(&self, take: &Arc<Performance>) -> Option<&TakeOverview> {
        let (of, settings, overview) = self.overview.as_ref()?;
        (of.as_ptr() == Arc::as_ptr(take) && *settings == self.settings).then_some(overview)
    }

    /// What is shown of the take at `index`. Its analysis is let go where no phrase is looked into: of
    /// a long take it is larger than the notes.
    fn overview(&mut self, index: usize) -> Option<TakeOverview> {
        let take = self.takes.get(index)?.performance.clone();
        if let Some(overview) = self.overview_of(&take) {
            return Some(overview.clone());
        }
        let overview = self.analysis(index)?.overview();
        self.overview = Some((Arc::downgrade(&take), self.settings, overview.clone()));
        if self.looking.note.is_none() {
            self.analysis = None;
        }
        Some(overview)
    }

    fn is_analysed(&self, take: &Take) -> bool {
        let analysis = self.analysis.as_ref();
        analysis.is_some_and(|analysis| analysis.is_of(&take.performance, &self.settings))
    }

    /// The analysis of the take at `index`, of those that are over.
    pub(super) fn analysis(&mut self, index: usize) -> Option<Arc<TakeAnalysis>> {
        let take = self.takes.get(index)?;
        if !self.is_analysed(take) {
            let analysis = TakeAnalysis::of(take.performance.clone(), self.settings);
            self.analysis = Some(Arc::new(analysis));
        }
        self.analysis.clone()
    }

    /// Every take, in order, with the figures of those that have been read. `newest` is what is
    /// shown.
    pub(super) fn take_list(&mut self, newest: &TakeOverview) -> Vec<TakeRow> {
        let shown = self.shown();
        let figures = |index| self.figures_of.get(index).copied().flatten();
        let mut rows: Vec<TakeRow> = (0..)
            .zip(&self.takes)
            .map(|(index, take)| TakeRow::of(take, number(index), figures(index)))
            .collect();
        let a_take = self.pass.as_ref().is_some_and(|pass| pass.is_a_take(&self.settings));
        if let Some(Pass { take, analyser, .. }) = self.pass.as_mut().filter(|_| a_take) {
            let figures = match shown {
                Shown::UnderWay => TakeFigures::of(&newest.figures),
                _ => TakeFigures::of(&analyser.newest(&take.performance).figures),
            };
            let row = TakeRow::of(take, number(rows.len()), Some(figures));
            rows.push(TakeRow { under_way: true, ..row });
        }
        rows
    }

    pub(super) fn shown(&self) -> Shown {
        let chosen = self.looking.take.and_then(index);
        if let Some(index) = chosen.filter(|index| *index < self.takes.len()) {
            return Shown::Take(index);
        }
        match (&self.pass, self.takes.len().checked_sub(1)) {
            (Some(pass), last) if !pass.take.performance.is_silent() || last.is_none() => {
                Shown::UnderWay
            }
            (_, Some(last)) => Shown::Take(last),
            (_, None) => Shown::Nothing,
        }
    }

    /// The take that is shown; `None` where there is none.
    #[must_use]
    pub fn shown_take(&self) -> Option<&Take> {
        match self.shown() {
            Shown::UnderWay => self.current(),
            Shown::Take(index) => self.takes.get(index),
            Shown::Nothing => None,
        }
    }

    /// Number of what is shown, from 1; 0 of nothing.
    pub(super) fn shown_number(&self) -> u32 {
        match self.shown() {
            Shown::UnderWay if self.current().is_some() => number(self.takes.len()),
            Shown::Take(index) => number(index),
            _ => 0,
        }
    }

    /// The phrases that are shown.
    pub(super) fn newest(&mut self) -> TakeOverview {
        match self.shown() {
            Shown::UnderWay => self
                .pass
                .as_mut()
                .map(|pass| pass.analyser.newest(&pass.take.performance))
                .unwrap_or_default(),
            Shown::Take(index) => self.overview(index).unwrap_or_default(),
            Shown::Nothing => TakeOverview::default(),
        }
    }

    /// The phrase that is looked into, among `newest`.
    pub(super) fn chosen(&mut self, newest: &TakeOverview) -> Option<PhraseDetail> {
        let note = self.looking.note?;
        let after = newest.phrases.partition_point(|phrase| phrase.first_note <= note);
        let place = after.checked_sub(1)?;
        let phrase = newest.phrases.get(place).filter(|phrase| note <= phrase.last_note)?;
        let number = newest.before + place;
        match self.shown() {
            Shown::UnderWay => {
                let Pass { take: Take { performance, .. }, analyser, .. } = self.pass.as_ref()?;
                Some(PhraseDetail::of(performance, phrase, number, analyser.context(performance)))
            }
            Shown::Take(index) => {
                let take = self.analysis(index)?;
                Some(PhraseDetail::of(take.take(), phrase, number, take.context()))
            }
            Shown::Nothing => None,
        }
    }
}

/// Index of take `number`.
pub(super) fn index(number: u32) -> Option<usize> {
    usize::try_from(number).ok()?.checked_sub(1)
}

/// Number of the take at `index`.
pub(super) fn number(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX).saturating_add(1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::event::{Event, NoteOff, NoteOn};
    use crate::time::Second;
    use crate::time::transport::TransportPoint;

    /// Chords, held notes and a tempo that is told late all change notes that were copied before.
    #[test]
    fn a_copy_of_the_take_under_way_is_brought_up_to_date_in_parts() {
        let mut session = Session::default();
        let mut point = TransportPoint {
            beat: Some(0.0),
            tempo: Some(120.0),
            metre: Some((4, 4)),
            rolling: true,
            ..TransportPoint::default()
        };
        session.push(Event::Transport(point));
        let mut copy = Performance::default();
        let mut same = |session: &mut Session| {
            while !session.copy_current(&mut copy, 3) {}
            let take = &session.current().unwrap().performance;
            assert_eq!(copy.soloist.notes(), take.soloist.notes());
            assert_eq!(copy.tempo, take.tempo);
        };
        for chord in 0..8_u8 {
            let at = Second(0.25 * f64::from(chord + 1));
            for key in [64, 60, 72] {
                let (key, channel, beat) = (Some(key + chord), Some(0), None);
                session.push(Event::On(NoteOn { at, beat, key, channel, velocity: 0.7 }));
                same(&mut session);
            }
            let (key, channel, beat) = (Some(60 + chord / 2), Some(0), None);
            session.push(Event::Off(NoteOff { at: Second(at.0 + 0.1), beat, key, channel }));
        }
        same(&mut session);
        // A quarter a second from second 1.5 on, which the host tells at 2.5.
        (point.at, point.block_before) = (Second(2.5), Some(Second(1.5)));
        (point.beat, point.tempo) = (Some(4.0), Some(60.0));
        session.push(Event::Transport(point));
        same(&mut session);
    }
}
