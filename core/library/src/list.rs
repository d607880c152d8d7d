//! Lists of takes: searched, sorted and paged by the database, without reading notes.

use crate::error::LibraryError;
use crate::library::Library;
use crate::stamp::Stamp;
use crate::summary::Summary;
use crate::table;
use crate::take_header::{Origin, TakeState};
use crate::tune::TuneId;
use overbar_core::take::TakeId;
use rusqlite::types::Value;
use rusqlite::{Row, params_from_iter};

/// A take in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct ListedTake {
    /// Its id.
    pub id: TakeId,
    /// Its name; empty for none.
    pub name: String,
    /// It has a star.
    pub star: bool,
    /// When it started.
    pub began: Stamp,
    /// Whether it is finished.
    pub state: TakeState,
    /// Where it comes from.
    pub origin: Origin,
    /// Notes, length, bars, tempo and metre.
    pub summary: Summary,
}

/// What a list is sorted by; ties by date, then id.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sort {
    /// Date.
    #[default]
    Began,
    /// Name, ignoring case.
    Name,
    /// Star.
    Star,
    /// Length in seconds.
    Seconds,
    /// The soloist's notes.
    Notes,
    /// Tempo.
    Tempo,
    /// First bar.
    Bar,
}

impl Sort {
    fn column(self) -> &'static str {
        match self {
            Self::Began => "began",
            Self::Name => "folded",
            Self::Star => "star",
            Self::Seconds => "seconds",
            Self::Notes => "notes",
            Self::Tempo => "tempo",
            Self::Bar => "first_bar",
        }
    }
}

/// Which takes to list, and in which order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Query {
    /// Words that must all be in names or comment, in any order and case; empty for any take.
    pub search: String,
    /// Only takes with a star.
    pub starred: bool,
    /// Only takes of this tune.
    pub tune: Option<TuneId>,
    /// Only takes in this state.
    pub state: Option<TakeState>,
    /// Only deleted takes, instead of only others.
    pub deleted: bool,
    /// Sort order.
    pub sort: Sort,
    /// Greatest or latest first.
    pub descending: bool,
    /// How many takes to skip.
    pub skip: u32,
    /// How many takes to list at most.
    pub limit: u32,
}

impl Default for Query {
    /// The newest hundred.
    fn default() -> Self {
        Self {
            search: String::new(),
            starred: false,
            tune: None,
            state: None,
            deleted: false,
            sort: Sort::Began,
            descending: true,
            skip: 0,
            limit: 100,
        }
    }
}

/// A page of a list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ListPage {
    /// Its takes.
    pub rows: Vec<ListedTake>,
    /// How many takes match in all.
    pub of: u32,
}

impl Library {
    /// Lists takes.
    pub fn list(&self, query: &Query) -> Result<ListPage, LibraryError> {
        let mut condition = "deleted = ?".to_owned();
        let mut values = vec![Value::from(query.deleted)];
        if query.starred {
            condition += " AND star = 1";
        }
        if let Some(tune) = &query.tune {
            condition += " AND tune = ?";
            values.push(Value::from(tune.bytes().to_vec()));
        }
        if let Some(state) = query.state {
            condition += " AND state = ?";
            values.push(Value::from(state as i64));
        }
        for word in query.search.to_lowercase().split_whitespace() {
            condition += " AND instr(folded, ?) > 0";
            values.push(Value::from(word.to_owned()));
        }
        let mut count = self
            .connection()
            .prepare_cached(&format!("SELECT count(*) FROM take WHERE {condition}"))?;
        let of = count.query_row(params_from_iter(&values), |row| row.get(0))?;
        let (sort, order) = (query.sort.column(), if query.descending { "DESC" } else { "ASC" });
        let mut page = self.connection().prepare_cached(&format!(
            "SELECT id, name, star, began, state, origin, notes, outside, seconds, first_bar, \
             last_bar, tempo, metre FROM take WHERE {condition} \
             ORDER BY {sort} {order}, began {order}, id {order} LIMIT ? OFFSET ?"
        ))?;
        values.extend([Value::from(query.limit), Value::from(query.skip)]);
        let rows = page.query_map(params_from_iter(&values), listed)?;
        Ok(ListPage { rows: rows.collect::<Result<_, _>>()?, of })
    }
}

fn listed(row: &Row<'_>) -> rusqlite::Result<ListedTake> {
    Ok(ListedTake {
        id: table::id_in(row, 0)?,
        name: row.get(1)?,
        star: row.get(2)?,
        began: Stamp(row.get(3)?),
        state: TakeState::from_number(row.get(4)?),
        origin: Origin::from_number(row.get(5)?),
        summary: Summary {
            notes: row.get(6)?,
            outside: row.get(7)?,
            seconds: row.get(8)?,
            bars: (row.get(9)?, row.get(10)?),
            tempo: row.get(11)?,
            metre: row.get(12)?,
        },
    })
}
