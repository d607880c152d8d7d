//! A copy of the take under way, for jobs. It is brought up to date in parts, so that the session's
//! lock is never held long for it, and lent to one job at a time.

use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use std::sync::Arc;

/// Notes that are copied under one hold of the session's lock.
const COPIED_AT_ONCE: usize = 4_096;

/// Room for as many more notes, so that it need not move under the session's lock.
const ROOM: usize = 4_096;

/// See the module.
#[derive(Default)]
pub struct CurrentCopy {
    /// The take as far as it has been copied.
    copied: Option<(TakeId, Performance)>,
    is_lent: bool,
}

/// What is lent.
pub struct Lent {
    of: TakeId,
    /// The take under way, as it was when it was lent.
    pub notes: Arc<Performance>,
}

/// What is given back, to be brought up to date.
pub struct Returned(TakeId, Performance);

impl CurrentCopy {
    /// Whether a job has it.
    pub fn is_lent(&self) -> bool {
        self.is_lent
    }

    /// Lends it, unless a job has it or there is more to copy at the worker's next looks.
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

    /// Takes it back; without it, the next copy is begun anew.
    pub fn take_back(&mut self, returned: Option<Returned>) {
        self.is_lent = false;
        self.copied = returned.map(|Returned(of, copy)| (of, copy));
    }

    /// Lets it go where no take is under way.
    pub fn forget(&mut self) {
        self.copied = None;
    }
}

impl Lent {
    /// Ends the loan: a copy with room, made by the job.
    pub fn give_back(&self) -> Returned {
        Returned(self.of, self.notes.copy_with_room(ROOM))
    }
}
