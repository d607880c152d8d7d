//! A copy of the current take, for jobs. It is updated in parts, so that the session's lock is never held for
//! long, and lent to one job at a time.

use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use std::sync::Arc;

/// Notes copied under one hold of the session's lock.
const COPIED_AT_ONCE: usize = 4_096;

/// Spare capacity in notes, so that the copy is not reallocated under the session's lock.
const ROOM: usize = 4_096;

/// The copy, or what is known of it while it is lent.
#[derive(Default)]
pub struct CurrentCopy {
    /// The part of the take that has been copied.
    copied: Option<(TakeId, Performance)>,
    is_lent: bool,
}

/// A copy on loan to a job.
pub struct Lent {
    of: TakeId,
    /// The current take, as of the loan.
    pub notes: Arc<Performance>,
}

/// A copy handed back, to be updated.
pub struct Returned(TakeId, Performance);

impl CurrentCopy {
    /// Whether a job has it.
    pub fn is_lent(&self) -> bool {
        self.is_lent
    }

    /// Lends it, unless a job has it or more has to be copied in later rounds of the worker.
    pub fn lend(&mut self, session: &mut Session) -> Option<Lent> {
        let of = session.current().filter(|_| !self.is_lent)?.id;
        let (_, mut copy) = self.copied.take().filter(|(id, _)| *id == of).unwrap_or_default();
        self.is_lent = session.copy_current(&mut copy, COPIED_AT_ONCE);
        if self.is_lent {
            return Some(Lent { of, notes: Arc::new(copy) });
        }
        self.copied = Some((of, copy));
        None
    }

    /// Takes it back; `None` means that the next copy starts from scratch.
    pub fn take_back(&mut self, returned: Option<Returned>) {
        self.is_lent = false;
        self.copied = returned.map(|Returned(of, copy)| (of, copy));
    }

    /// Drops the copy if no take is in progress.
    pub fn forget(&mut self) {
        self.copied = None;
    }
}

impl Lent {
    /// Ends the loan: the job makes a copy with spare capacity.
    pub fn give_back(&self) -> Returned {
        Returned(self.of, self.notes.copy_with_room(ROOM))
    }
}
