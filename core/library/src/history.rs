//! The measures of all takes, for progress over days and weeks.

use crate::catalog::DrillRecord;
use crate::error::LibraryError;
use crate::labels::Labels;
use crate::library::Library;
use crate::stamp::Stamp;
use crate::table;
use crate::take_header::{Origin, TakeState};
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::advice::stored::StoredMeasures;
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use rusqlite::params;

/// Results saved in one transaction, so that they stay if the rest is cancelled.
const BATCH: usize = 64;

/// A past take and its measures.
#[derive(Debug, Clone, PartialEq)]
pub struct PastTake {
    /// Its id.
    pub id: TakeId,
    /// When it started.
    pub began: Stamp,
    /// The tune's name; empty if unknown.
    pub tune: String,
    /// The player's name; empty if unknown.
    pub player: String,
    /// Its measures.
    pub measures: Measures,
}

/// All takes and drills of the past.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct History {
    /// Finished takes, oldest first; without deleted ones and the host's playbacks.
    pub takes: Vec<PastTake>,
    /// Results of drills, oldest first.
    pub drills: Vec<DrillRecord>,
    /// The number of unreadable takes.
    pub unreadable: usize,
}

/// A take, with its counts if they are saved and still valid.
struct HistoryRow {
    id: TakeId,
    began: Stamp,
    labels: Labels,
    /// What saved counts depend on: analysis version, note count, and the dates of the corrections and of
    /// a beat grid set by hand.
    key: String,
    counts: Option<StoredMeasures>,
}

impl Library {
    /// The history. `measure` is called only for takes that were not yet measured by the analysis
    /// `version`, or were corrected since. `progress` receives how many takes are done, and of how
    /// many; if it returns false, the remaining ones are left out.
    ///
    /// # Errors
    /// [`LibraryError`]; measures saved until then stay.
    pub fn history(
        &mut self,
        version: &str,
        measure: impl Fn(&Performance) -> Measures,
        mut progress: impl FnMut(usize, usize) -> bool,
    ) -> Result<History, LibraryError> {
        let rows = self.history_rows(version)?;
        let of = rows.len();
        let mut history = History { drills: self.drills()?, ..History::default() };
        let mut new = Vec::new();
        for (done, row) in rows.into_iter().enumerate() {
            let measures = match row.counts {
                Some(counts) => Measures::from(counts),
                None => match self.load(row.id) {
                    Ok(mut take) => {
                        if !progress(done, of) {
                            break;
                        }
                        take.corrections.clone_from(&row.labels.corrections.value);
                        let measures = measure(&take);
                        new.push((row.id, row.key, StoredMeasures::from(&measures)));
                        measures
                    }
                    Err(LibraryError::Unreadable(..)) => {
                        history.unreadable += 1;
                        continue;
                    }
                    Err(other) => return Err(other),
                },
            };
            if new.len() == BATCH {
                self.save_counts(&mut new)?;
            }
            history.takes.push(PastTake {
                id: row.id,
                began: row.began,
                tune: row.labels.tune.value,
                player: row.labels.player.value,
                measures,
            });
        }
        self.save_counts(&mut new)?;
        Ok(history)
    }

    fn history_rows(&self, version: &str) -> Result<Vec<HistoryRow>, LibraryError> {
        let mut query = self.connection().prepare_cached(
            "SELECT take.id, take.began, take.notes, label.body, counted.by, counted.counts \
             FROM take LEFT JOIN label ON label.take = take.id \
             LEFT JOIN counted ON counted.take = take.id \
             WHERE take.deleted = 0 AND take.state = ? AND take.origin <> ? AND take.notes > 0 \
             ORDER BY take.began, take.id",
        )?;
        let mut rows = query.query(params![TakeState::Finished as i64, Origin::Playback as i64])?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            let notes: i64 = row.get(2)?;
            let text = |at| row.get_ref(at)?.as_str_or_null().map_err(rusqlite::Error::from);
            let labels = match text(3)? {
                Some(body) => serde_json::from_str(body)?,
                None => Labels::default(),
            };
            let mut key = format!("{version}/{notes}/{}", labels.corrections.at.0);
            if labels.grid.at != Stamp(0) {
                key.push_str(&format!("/{}", labels.grid.at.0));
            }
            let counts = text(5)?.filter(|_| text(4).is_ok_and(|by| by == Some(&key)));
            let counts = counts.and_then(|counts| serde_json::from_str(counts).ok());
            let (id, began) = (table::id_in(row, 0)?, Stamp(row.get(1)?));
            found.push(HistoryRow { id, began, labels, key, counts });
        }
        Ok(found)
    }

    fn save_counts(
        &mut self,
        new: &mut Vec<(TakeId, String, StoredMeasures)>,
    ) -> Result<(), LibraryError> {
        if new.is_empty() {
            return Ok(());
        }
        let change = self.change()?;
        {
            // The take may be gone by now.
            let mut save = change.prepare_cached(
                "INSERT OR REPLACE INTO counted (take, by, counts) \
                 SELECT id, ?2, ?3 FROM take WHERE id = ?1",
            )?;
            for (id, key, counts) in new.drain(..) {
                save.execute(params![table::key(id), key, serde_json::to_string(&counts)?])?;
            }
        }
        change.commit()?;
        Ok(())
    }
}
