//! The view of the drills and the chosen one.

use crate::practice::drill_book::DrillBook;
use crate::practice::drill_settings::settings;
use crate::practice::results::KeptResult;
use crate::view_model::practice::{DrillOffer, DrillPlan};
use overbar_core::practice::{Drill, Goal, write};

/// The view of `book`.
pub fn plan(book: &DrillBook) -> DrillPlan {
    let offer = |(index, drill): (usize, &Drill)| DrillOffer {
        name: drill.name.clone(),
        aims: aims(drill),
        own: index >= book.fixed.len(),
    };
    DrillPlan {
        drills: book.list().enumerate().map(offer).collect(),
        chosen: book.chosen(),
        name: book.drill.name.clone(),
        aims: aims(&book.drill),
        settings: settings(&book.drill),
        text: write(&book.drill).unwrap_or_default(),
        kept: book.kept.iter().map(KeptResult::words).collect(),
    }
}

fn aims(drill: &Drill) -> Vec<String> {
    drill.goals.iter().map(Goal::aim).collect()
}
