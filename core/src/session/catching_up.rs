//! The take under way is analysed anew after a correction and with other settings. Of a long take that
//! takes long; so whoever shares the session has it done in parts. The result is the same.

use super::{Pass, Session};

impl Session {
    /// Whether the take under way has notes that have yet to be analysed anew.
    #[must_use]
    pub fn is_behind(&self) -> bool {
        let is_behind =
            |pass: &Pass| pass.analyser.followed() < pass.take.performance.soloist.notes().len();
        !self.only_whole && self.pass.as_ref().is_some_and(is_behind)
    }

    /// Analyses at most `most` notes of those; whether none are left. All that is told of the take
    /// under way is told when none are, so whoever asks before has all of them analysed.
    pub fn catch_up(&mut self, most: usize) -> bool {
        let is_behind = self.is_behind();
        if let Some(Pass { take, analyser, .. }) = self.pass.as_mut().filter(|_| is_behind) {
            analyser.follow_some(&take.performance, most);
            // Its phrases are read as they come, so that the last part has no more to do than others.
            let _ = analyser.newest(&take.performance);
        }
        !self.is_behind()
    }
}
