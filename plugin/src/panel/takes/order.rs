//! Sorting and filtering of the list.

use crate::panel::state::takes::{ListOrder, SortBy};
use crate::view_model::{TakeLabel, ViewModel};
use overbar_core::session::take_list::TakeRow;
use std::cmp::Ordering;

/// The indices of the listed `rows`, in order.
pub fn listed(rows: &[TakeRow], model: &ViewModel, order: &ListOrder) -> Vec<usize> {
    let words: Vec<String> = order.search.split_whitespace().map(str::to_lowercase).collect();
    let mut listed: Vec<usize> = (0..rows.len())
        .filter(|index| {
            let take = &rows[*index];
            let starred = model.labels.get(&take.id).is_some_and(|label| label.star);
            let text = searched(take, model);
            (starred || !order.starred) && words.iter().all(|word| text.contains(word.as_str()))
        })
        .collect();
    // Ties stay in the order played.
    listed.sort_by(|a, b| {
        let by = compared(&rows[*a], &rows[*b], model, order.by);
        if order.descending { by.reverse() } else { by }
    });
    listed
}

fn searched(take: &TakeRow, model: &ViewModel) -> String {
    let known = model.labels.get(&take.id);
    let added = known
        .map_or_else(String::new, |TakeLabel { remark, tune, player, when, .. }| {
            format!("{remark} {tune} {player} {when}")
        });
    format!("{} {added}", model.called(take)).to_lowercase()
}

fn compared(a: &TakeRow, b: &TakeRow, model: &ViewModel, by: SortBy) -> Ordering {
    let figure = |of: fn(&TakeRow) -> Option<f64>| match (of(a), of(b)) {
        (Some(a), Some(b)) => a.total_cmp(&b),
        (a, b) => a.is_some().cmp(&b.is_some()),
    };
    match by {
        SortBy::Played => a.number.cmp(&b.number),
        SortBy::Name => model.called(a).to_lowercase().cmp(&model.called(b).to_lowercase()),
        SortBy::Time => a.seconds.0.total_cmp(&b.seconds.0),
        SortBy::Phrases => figure(|take| take.figures.map(|f| f64::from(f.phrases))),
        SortBy::OffBeat => figure(|take| take.figures?.off_beat.share()),
        SortBy::BeatOne => figure(|take| take.figures?.beat_one.share()),
        SortBy::Length => figure(|take| take.figures?.median_bars),
    }
}

/// Sorts by another figure; a second press reverses the order, a third restores the order played.
pub fn press(order: &mut ListOrder, by: SortBy) {
    // Names from A, figures from the largest.
    let first = by != SortBy::Name;
    (order.by, order.descending) = match order.by == by {
        false => (by, first),
        true if order.descending == first => (by, !first),
        true => (SortBy::Played, false),
    };
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_core::analysis::overview::TakeFigures;
    use overbar_core::stats::Share;
    use overbar_core::take::TakeId;
    use overbar_core::time::SecondSpan;

    fn take(number: u32, off_beat: Option<(u32, u32)>) -> TakeRow {
        let figures = off_beat.map(|(count, of)| TakeFigures {
            phrases: of,
            off_beat: Share { count, of },
            beat_one: Share { count: 0, of },
            median_bars: None,
        });
        TakeRow {
            id: TakeId(number.into()),
            number,
            under_way: false,
            notes: 10,
            seconds: SecondSpan(10.0),
            by_hand: 0,
            figures,
        }
    }

    #[test]
    fn presses_sort_reverse_and_restore() {
        let rows = [take(1, Some((3, 4))), take(2, None), take(3, Some((1, 4)))];
        let mut model = ViewModel::default();
        let named = TakeLabel { name: "bridge".to_owned(), ..TakeLabel::default() };
        model.labels.insert(TakeId(3), named);
        let mut order = ListOrder::default();
        assert_eq!(listed(&rows, &model, &order), [0, 1, 2]);
        press(&mut order, SortBy::OffBeat);
        assert_eq!(listed(&rows, &model, &order), [0, 2, 1], "one that is not read comes last");
        press(&mut order, SortBy::OffBeat);
        assert_eq!(listed(&rows, &model, &order), [1, 2, 0]);
        press(&mut order, SortBy::OffBeat);
        assert_eq!(order, ListOrder::default());
        press(&mut order, SortBy::Name);
        assert_eq!(listed(&rows, &model, &order), [2, 0, 1]);
        press(&mut order, SortBy::Name);
        assert_eq!(listed(&rows, &model, &order), [1, 0, 2]);
        order.search = "TAKE".to_owned();
        assert_eq!(listed(&rows, &model, &order), [1, 0]);
        order.search = "corner blue".to_owned();
        assert!(listed(&rows, &model, &order).is_empty());
        let of = TakeLabel { tune: "Blue corner".to_owned(), ..TakeLabel::default() };
        model.labels.insert(TakeId(1), of);
        assert_eq!(listed(&rows, &model, &order), [0], "by its tune");
        order.search = "second chair".to_owned();
        assert!(listed(&rows, &model, &order).is_empty());
        let by = TakeLabel { player: "Second chair".to_owned(), ..TakeLabel::default() };
        model.labels.insert(TakeId(2), by);
        assert_eq!(listed(&rows, &model, &order), [1], "by its player");
    }
}
