//! What of a session is shown: a take, and a phrase in it. Takes are read when someone looks at
//! them, and once.

use super::{Pass, Session};
use crate::analysis::analyser::{TakeOverview, WholeReading};
use crate::analysis::detail::PhraseDetail;
use crate::session::take_list::{TakeFigures, TakeRow};
use crate::take::Take;
use crate::take::performance::Performance;

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Looking {
    /// The take, from 1; `None` is the current one, or the last when none is under way.
    pub take: Option<u32>,
    /// A note of it, by index: the phrase it is in is looked into.
    pub note: Option<usize>,
}

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

    /// Reads one take of which the list has no figures yet; whether there was one.
    pub fn read_a_take(&mut self) -> bool {
        self.figures_of.resize(self.takes.len(), None);
        let Some(unread) = self.figures_of.iter().position(Option::is_none) else { return false };
        let figures = match (&self.read, self.takes.get(unread)) {
            (Some((index, read)), _) if *index == unread => TakeFigures::of(&read.figures),
            (_, Some(take)) => TakeFigures::of(&read_whole(&take.performance, self).figures),
            (_, None) => return false,
        };
        if let Some(slot) = self.figures_of.get_mut(unread) {
            *slot = Some(figures);
        }
        true
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
            Shown::Take(index) => {
                if let Some((of, read)) = &self.read
                    && *of == index
                {
                    return read.clone();
                }
                let Some(take) = self.takes.get(index) else { return TakeOverview::default() };
                let read = read_whole(&take.performance, self);
                self.read = Some((index, read.clone()));
                read
            }
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
                Some(PhraseDetail::of(performance, phrase, number, analyser.score(performance)))
            }
            Shown::Take(index) => {
                let take = &self.takes.get(index)?.performance;
                if self.places.as_ref().is_none_or(|(of, _)| *of != index) {
                    self.places = Some((index, WholeReading::hear(take, self.settings).1));
                }
                let (_, places) = self.places.as_ref()?;
                Some(PhraseDetail::of(take, phrase, number, places.score(take)))
            }
            Shown::Nothing => None,
        }
    }

    /// What was read is of no use any more.
    pub(super) fn forget_what_was_read(&mut self) {
        self.read = None;
        self.places = None;
        self.figures_of.clear();
    }
}

fn read_whole(take: &Performance, session: &Session) -> TakeOverview {
    TakeOverview::of(take, session.settings)
}

/// Index of take `number`.
pub(super) fn index(number: u32) -> Option<usize> {
    usize::try_from(number).ok()?.checked_sub(1)
}

/// Number of the take at `index`.
pub(super) fn number(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX).saturating_add(1)
}
