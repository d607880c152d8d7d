//! One scene of each view, in its ordinary state.

use crate::scenes::{self, Scene};
use overbar::view_model::look::ThemeName;

const VIEWS: [&str; 20] = [
    "ordinary",
    "near",
    "alert",
    "across",
    "takes",
    "overview",
    "phrases",
    "choruses",
    "advice",
    "beat_grid",
    "edit",
    "library",
    "compare",
    "comp",
    "practice_list",
    "practice_entries",
    "practice_told",
    "progress",
    "settings",
    "form",
];

/// All of them in the colours of `theme`.
pub fn in_theme(theme: ThemeName) -> Vec<Scene> {
    let found: Vec<Scene> = scenes::all()
        .into_iter()
        .filter(|scene| VIEWS.contains(&scene.name))
        .map(|scene| scene.in_theme(theme))
        .collect();
    assert_eq!(found.len(), VIEWS.len());
    found
}
