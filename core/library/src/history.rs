//! All that was ever played, counted: for progress over days and weeks.

use crate::catalog::DrillResult;
use crate::error::LibraryError;
use crate::labels::Labels;
use crate::library::{Library, Origin, State};
use crate::stamp::Stamp;
use crate::table;
use overbar_core::study::advice::counts::Counts;
use overbar_core::study::advice::measures::Measures;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use rusqlite::params;

/// Takes that are counted in one change: work that is saved even where the rest is not done.
const AT_ONCE: usize = 64;

/// A take of the past, and what was counted in it.
#[derive(Debug, Clone, PartialEq)]
pub struct PastTake {
    /// What it is known by.
    pub id: TakeId,
    /// When it began.
    pub began: Stamp,
    /// The tune's name; empty where it is not known.
    pub tune: String,
    /// The player's name; empty where it is not known.
    pub player: String,
    /// What was counted.
    pub measures: Measures,
}

/// See the module.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct History {
    /// Takes that are over and not deleted, the oldest first; none that a host played back.
    pub takes: Vec<PastTake>,
    /// Results of drills, the oldest first.
    pub drills: Vec<DrillResult>,
    /// Takes that could not be read.
    pub unreadable: usize,
}

/// A row, before it is known whether it has to be counted anew.
struct Found {
    id: TakeId,
    began: Stamp,
    labels: Labels,
    by: String,
    counts: Option<Counts>,
}

impl Library {
    /// All that was played. Each take is counted by `count` once, and again where it was not
    /// counted by the ear named `ear`, or was corrected since. `told` hears how many takes have been
    /// seen to, and of how many; where it returns false the rest is left for another time.
    ///
    /// # Errors
    /// [`LibraryError`]; what had been counted until then is kept.
    pub fn history(
        &mut self,
        ear: &str,
        count: impl Fn(&Performance) -> Measures,
        mut told: impl FnMut(usize, usize) -> bool,
    ) -> Result<History, LibraryError> {
        let found = self.past(ear)?;
        let of = found.len();
        let mut history = History { drills: self.all_drills()?, ..History::default() };
        let mut fresh = Vec::new();
        for (done, found) in found.into_iter().enumerate() {
            let measures = match found.counts {
                Some(counts) => Measures::from(counts),
                None => match self.load(found.id) {
                    Ok(mut take) => {
                        if !told(done, of) {
                            break;
                        }
                        take.corrections.clone_from(&found.labels.corrections.value);
                        let measures = count(&take);
                        fresh.push((found.id, found.by, Counts::from(&measures)));
                        measures
                    }
                    Err(LibraryError::Unreadable(..)) => {
                        history.unreadable += 1;
                        continue;
                    }
                    Err(other) => return Err(other),
                },
            };
            if fresh.len() == AT_ONCE {
                self.keep_counts(&mut fresh)?;
            }
            history.takes.push(PastTake {
                id: found.id,
                began: found.began,
                tune: found.labels.tune.value,
                player: found.labels.player.value,
                measures,
            });
        }
        self.keep_counts(&mut fresh)?;
        Ok(history)
    }

    fn past(&self, ear: &str) -> Result<Vec<Found>, LibraryError> {
        let mut past = self.connection().prepare_cached(
            "SELECT take.id, take.began, take.notes, label.body, counted.by, counted.counts \
             FROM take LEFT JOIN label ON label.take = take.id \
             LEFT JOIN counted ON counted.take = take.id \
             WHERE take.deleted = 0 AND take.state = ? AND take.origin <> ? AND take.notes > 0 \
             ORDER BY take.began, take.id",
        )?;
        let mut rows = past.query(params![State::Over as i64, Origin::Playback as i64])?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            let notes: i64 = row.get(2)?;
            let labels = match row.get_ref(3)?.as_str_or_null().map_err(rusqlite::Error::from)? {
                Some(body) => serde_json::from_str(body)?,
                None => Labels::default(),
            };
            let by = format!("{ear}/{notes}/{}", labels.corrections.at.0);
            let counted_by = row.get_ref(4)?.as_str_or_null().map_err(rusqlite::Error::from)?;
            let counts = match row.get_ref(5)?.as_str_or_null().map_err(rusqlite::Error::from)? {
                Some(counts) if counted_by == Some(&by) => serde_json::from_str(counts).ok(),
                _ => None,
            };
            let (id, began) = (table::id_in(row, 0)?, Stamp(row.get(1)?));
            found.push(Found { id, began, labels, by, counts });
        }
        Ok(found)
    }

    fn keep_counts(
        &mut self,
        fresh: &mut Vec<(TakeId, String, Counts)>,
    ) -> Result<(), LibraryError> {
        if fresh.is_empty() {
            return Ok(());
        }
        let change = self.change()?;
        {
            // A take may have been purged meanwhile.
            let mut keep = change.prepare_cached(
                "INSERT OR REPLACE INTO counted (take, by, counts) \
                 SELECT id, ?2, ?3 FROM take WHERE id = ?1",
            )?;
            for (id, by, counts) in fresh.drain(..) {
                keep.execute(params![table::key(id), by, serde_json::to_string(&counts)?])?;
            }
        }
        change.commit()?;
        Ok(())
    }
}
