//! Unique titles of takes.

use crate::view_model::dates::day;
use overbar_core::study::progress::day::Day;
use overbar_library::Stamp;
use std::collections::BTreeSet;

/// A take that needs a title.
#[derive(Debug, Clone, Copy)]
pub struct Untitled<'a> {
    /// Its number in the session, from 1.
    pub number: usize,
    /// The name the user gave it; empty for none.
    pub name: &'a str,
    /// When it began.
    pub began: Stamp,
}

/// A take's name, or its number if it has none.
pub fn called(name: &str, number: impl core::fmt::Display) -> String {
    match name {
        "" => format!("Take {number}"),
        name => name.to_owned(),
    }
}

/// A title for each take: its name or number, with the day if the takes are from several days, and a counter
/// if titles are still equal.
pub fn titles(takes: &[Untitled<'_>]) -> Vec<String> {
    let days: BTreeSet<Day> = takes.iter().map(|take| day(take.began)).collect();
    let mut used = BTreeSet::new();
    let title = |take: &Untitled<'_>| {
        let mut title = called(take.name, take.number);
        if days.len() > 1 {
            title = format!("{title}, {}", day(take.began));
        }
        let mut unique = title.clone();
        let mut number = 2;
        while !used.insert(unique.clone()) {
            unique = format!("{title} ({number})");
            number += 1;
        }
        unique
    };
    takes.iter().map(title).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_are_unique() {
        let take = |number, name, days: i64| Untitled {
            number,
            name,
            began: Stamp((20_000 + days) * 86_400_000 + 3_600_000),
        };
        assert_eq!(titles(&[take(1, "", 0), take(4, "Slow", 0)]), ["Take 1", "Slow"]);
        assert_eq!(
            titles(&[take(1, "Slow", 0), take(2, "Slow", 0), take(3, "Slow", 0)]),
            ["Slow", "Slow (2)", "Slow (3)"]
        );
        assert_eq!(
            titles(&[take(1, "Comp", 0), take(2, "Comp", 7)]),
            ["Comp, 2024-10-04", "Comp, 2024-10-11"]
        );
    }
}
