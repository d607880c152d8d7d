//! Lists of takes: sorted, searched and paged by the database, without reading notes.

use crate::error::LibraryError;
use crate::library::{Library, Origin, State};
use crate::stamp::Stamp;
use crate::summary::Summary;
use crate::table;
use crate::tune::TuneId;
use overbar_core::take::TakeId;
use rusqlite::types::Value;
use rusqlite::{Row as SqlRow, params_from_iter};

/// A take in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is known by.
    pub id: TakeId,
    /// Its name; empty for none.
    pub name: String,
    /// It has a star.
    pub star: bool,
    /// When it began.
    pub began: Stamp,
    /// How far along it is.
    pub state: State,
    /// Where it comes from.
    pub origin: Origin,
    /// Notes, length, bars, tempo and metre.
    pub summary: Summary,
}

/// What a list is sorted by; within the same, by date and id.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sort {
    /// Date.
    #[default]
    Began,
    /// Name, without regard to case.
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
    /// Its column, which is part of a statement.
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
    /// Words that name or remark contain, all of them, in any order and case; empty for any.
    pub search: String,
    /// Only those with a star.
    pub starred: bool,
    /// Only those of this tune.
    pub tune: Option<TuneId>,
    /// Only those this far along.
    pub state: Option<State>,
    /// The deleted ones in place of the others.
    pub deleted: bool,
    /// What they are sorted by.
    pub sort: Sort,
    /// The greatest, or latest, first.
    pub descending: bool,
    /// How many to leave out at the front.
    pub skip: u32,
    /// At most so many.
    pub most: u32,
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
            most: 100,
        }
    }
}

/// A page of a list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// Its takes.
    pub rows: Vec<Row>,
    /// How many fit the query in all.
    pub of: u32,
}

impl Library {
    /// Lists takes.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn list(&self, query: &Query) -> Result<Page, LibraryError> {
        let mut which = "deleted = ?".to_owned();
        let mut values = vec![Value::from(query.deleted)];
        if query.starred {
            which += " AND star = 1";
        }
        if let Some(tune) = &query.tune {
            which += " AND tune = ?";
            values.push(Value::from(tune.bytes().to_vec()));
        }
        if let Some(state) = query.state {
            which += " AND state = ?";
            values.push(Value::from(state as i64));
        }
        for word in query.search.to_lowercase().split_whitespace() {
            which += " AND instr(folded, ?) > 0";
            values.push(Value::from(word.to_owned()));
        }
        let mut count = self
            .connection()
            .prepare_cached(&format!("SELECT count(*) FROM take WHERE {which}"))?;
        let of = count.query_row(params_from_iter(&values), |row| row.get(0))?;
        let (sort, order) = (query.sort.column(), if query.descending { "DESC" } else { "ASC" });
        let mut page = self.connection().prepare_cached(&format!(
            "SELECT id, name, star, began, state, origin, notes, outside, seconds, first_bar, \
             last_bar, tempo, metre FROM take WHERE {which} \
             ORDER BY {sort} {order}, began {order}, id {order} LIMIT ? OFFSET ?"
        ))?;
        values.extend([Value::from(query.most), Value::from(query.skip)]);
        let rows = page.query_map(params_from_iter(&values), row)?;
        Ok(Page { rows: rows.collect::<Result<_, _>>()?, of })
    }
}

fn row(row: &SqlRow<'_>) -> rusqlite::Result<Row> {
    Ok(Row {
        id: table::id_in(row, 0)?,
        name: row.get(1)?,
        star: row.get(2)?,
        began: Stamp(row.get(3)?),
        state: table::state(row.get(4)?),
        origin: table::origin(row.get(5)?),
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
