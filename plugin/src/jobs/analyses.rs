//! Analyses of finished takes, each made once for all views and jobs that use it.

use crate::runtime::lock::lock;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::study::compare::MAX_TAKES;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use std::sync::{Arc, Mutex};

/// At most this many are kept, the newest: one for each take that can be compared, and two for shown takes.
const MAX: usize = MAX_TAKES + 2;

/// A cache of analyses.
#[derive(Debug, Default)]
pub struct Analyses(Mutex<Vec<Arc<TakeAnalysis>>>);

impl Analyses {
    /// The analysis of `take`, if it is cached.
    pub fn kept(&self, take: &Arc<Performance>, settings: &Settings) -> Option<Arc<TakeAnalysis>> {
        lock(&self.0).iter().find(|analysis| analysis.is_of(take, settings)).cloned()
    }

    /// The analysis of `take`, computed now unless it is cached. Slow for a long take.
    pub fn of(&self, take: &Arc<Performance>, settings: &Settings) -> Arc<TakeAnalysis> {
        self.kept(take, settings).unwrap_or_else(|| {
            let analysis = Arc::new(TakeAnalysis::of(take.clone(), *settings));
            let mut kept = lock(&self.0);
            if kept.len() == MAX {
                kept.remove(0);
            }
            kept.push(analysis.clone());
            analysis
        })
    }
}
