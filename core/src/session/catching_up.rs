//! Analyses the current take again after a correction or a change of settings. A long take takes long, so
//! a caller that shares the session can have it done in parts. The result is the same.

use super::{Pass, Session};

impl Session {
    /// Whether the current take has notes that are still to be analysed.
    #[must_use]
    pub fn is_behind(&self) -> bool {
        let is_behind =
            |pass: &Pass| pass.analyser.followed() < pass.take.performance.soloist.notes().len();
        !self.only_whole && self.pass.as_ref().is_some_and(is_behind)
    }

    /// Analyses at most `limit` of these notes. Returns whether none are left. Everything that reads the
    /// current take needs all of them, and analyses what is missing.
    pub fn catch_up(&mut self, limit: usize) -> bool {
        let is_behind = self.is_behind();
        if let Some(Pass { take, analyser, .. }) = self.pass.as_mut().filter(|_| is_behind) {
            analyser.follow_some(&take.performance, limit);
            // Phrases are computed in each part, so that the last part has no more to do than the others.
            let _ = analyser.newest(&take.performance);
        }
        !self.is_behind()
    }
}
