//! What is shown of a session: a take, and a phrase in it. A take is analysed once, when it is first
//! shown.

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
    /// The user's choice of what is shown.
    #[must_use]
    pub fn looking(&self) -> Looking {
        self.looking
    }

    /// Shows take number `take`, from 1. `None`, or a number without a take, shows the current take, or the
    /// last one when nothing is being played. When playback starts, the current take is shown again.
    pub fn look_at(&mut self, take: Option<u32>) {
        let take = take.filter(|take| index(*take).is_some_and(|index| index < self.takes.len()));
        self.looking = Looking { take, note: None };
    }

    /// Opens the phrase that contains note `note` (an index) of the shown take; `None` closes it.
    pub fn choose(&mut self, note: Option<usize>) {
        self.looking.note = note;
    }

    /// The next finished take to analyse: the shown one, or else, for the list, one without figures. A job
    /// hands its analysis in by [`Session::adopt`]; without one the session analyses the shown take itself.
    #[must_use]
    pub fn next_to_analyse(&self, for_the_list: bool) -> Option<&Arc<Performance>> {
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

    /// Uses the analysis of a finished take, for the view, the list and the drill. Rejected if notes or
    /// settings have changed since. Returns whether it was used.
    pub fn adopt(&mut self, analysis: &Arc<TakeAnalysis>) -> bool {
        let in_drill = self.feed_drill(analysis);
        self.figures_of.resize(self.takes.len(), None);
        let shown = self.shown();
        let mut is_used = in_drill;
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
            is_used = true;
        }
        is_used
    }

    /// Analyses one take that has no figures in the list yet. Returns whether there was one.
    pub fn analyse_one(&mut self) -> bool {
        let Some(take) = self.next_to_analyse(true).cloned() else { return false };
        self.adopt(&Arc::new(TakeAnalysis::of(take, self.settings)))
    }

    /// Updates a copy of the current take, as [`Performance::update_copy`] does. Only one copy can be kept
    /// up to date.
    pub fn copy_current(&mut self, copy: &mut Performance, limit: usize) -> bool {
        let current = self.pass.as_mut().map(|pass| pass.take.performance_mut());
        current.is_some_and(|current| current.update_copy(copy, limit))
    }

    /// Whether everything to show of `take` is known: its analysis, or its overview while no phrase is open.
    fn is_known(&self, take: &Take) -> bool {
        self.is_analysed(take)
            || self.looking.note.is_none() && self.overview_of(&take.performance).is_some()
    }

    fn overview_of(&self, take: &Arc<Performance>) -> Option<&TakeOverview> {
        let (of, settings, overview) = self.overview.as_ref()?;
        (of.as_ptr() == Arc::as_ptr(take) && *settings == self.settings).then_some(overview)
    }

    /// The overview of the take at `index`. Drops the analysis while no phrase is open: that of a long take
    /// needs more memory than the notes.
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

    /// The analysis of the finished take at `index`.
    pub(super) fn analysis(&mut self, index: usize) -> Option<Arc<TakeAnalysis>> {
        let take = self.takes.get(index)?;
        if !self.is_analysed(take) {
            let analysis = TakeAnalysis::of(take.performance.clone(), self.settings);
            self.analysis = Some(Arc::new(analysis));
        }
        self.analysis.clone()
    }

    /// Every take, in order, with figures where known. `newest` is the overview of the shown take.
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

    /// The shown take, if any.
    #[must_use]
    pub fn shown_take(&self) -> Option<&Take> {
        match self.shown() {
            Shown::UnderWay => self.current(),
            Shown::Take(index) => self.takes.get(index),
            Shown::Nothing => None,
        }
    }

    /// The number of the shown take, from 1; 0 for none.
    pub(super) fn shown_number(&self) -> u32 {
        match self.shown() {
            Shown::UnderWay if self.current().is_some() => number(self.takes.len()),
            Shown::Take(index) => number(index),
            _ => 0,
        }
    }

    /// The overview of the shown take.
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

    /// The open phrase, among those of `newest`.
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

    /// Chords, held notes and a late tempo report all change notes that were copied before.
    #[test]
    fn a_copy_of_the_current_take_is_updated_in_parts() {
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
        // 60 BPM from second 1.5 on, which the host reports at 2.5.
        (point.at, point.block_before) = (Second(2.5), Some(Second(1.5)));
        (point.beat, point.tempo) = (Some(4.0), Some(60.0));
        session.push(Event::Transport(point));
        same(&mut session);
    }
}
