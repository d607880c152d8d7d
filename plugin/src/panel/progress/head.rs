//! Whose progress on which tune: a menu for each.

use crate::command::action::Action;
use crate::panel::frame::Frame;
use crate::panel::progress::by_name::{self, WIDE, choose};
use crate::panel::state::past::{NameMenu, NameOf};
use crate::panel::widgets::{Entry, Flow, MenuEvent, help};
use crate::panel::words;
use crate::view_model::progress::{ProgressFilter, ProgressView};
use egui::Rect;

/// Names in a menu; the rest are under *More…*.
const IN_A_MENU: usize = 13;

/// The entries for all.
const EVERYONE: &str = "Everyone";
const ALL_TUNES: &str = "All tunes";

impl NameOf {
    /// Its caption, and its entry for all.
    fn texts(self) -> (&'static str, &'static str) {
        match self {
            Self::Player => ("Player", EVERYONE),
            Self::Tune => ("Tune", ALL_TUNES),
        }
    }

    fn names(self, past: &ProgressView) -> &[String] {
        match self {
            Self::Player => &past.players,
            Self::Tune => &past.tunes,
        }
    }

    fn chosen(self, filter: &ProgressFilter) -> Option<&str> {
        match self {
            Self::Player => filter.player.as_deref(),
            Self::Tune => filter.tune.as_deref(),
        }
    }
}

/// The buttons above the view; returns their bottom.
pub fn head(f: &mut Frame<'_>, area: Rect, past: &ProgressView) -> f32 {
    let mut flow = Flow::new(f.style, area);
    for of in [NameOf::Player, NameOf::Tune] {
        let (what, all) = of.texts();
        let shown = words::short(of.chosen(&past.filter).unwrap_or(all));
        let text = format!("{shown} ▾");
        let place = flow.next(f.button_size(&text));
        let can = !of.names(past).is_empty();
        let pressed = f.button(place, &text, &format!("{what}: {shown}"), can);
        if f.explain(pressed, help::PROGRESS_NAMES).clicked() {
            let at = place.left_bottom();
            f.state.past.menu = Some(NameMenu { of, at, from: 0, new: true });
        }
    }
    let place = flow.next(f.button_size("Refresh"));
    let pressed = f.button(place, "Refresh", "Refresh", past.busy.is_none());
    if f.explain(pressed, help::PROGRESS_AGAIN).clicked() {
        f.acts.push(Action::Progress(past.filter.clone()));
    }
    if by_name::is_there(past) && area.width() < f.len(WIDE) {
        let names = f.state.past.names;
        for (text, of_names) in [("Over time", false), ("Side by side", true)] {
            let place = flow.next(f.button_size(text));
            let pressed = f.choice(place, (text, text), names == of_names);
            if f.explain(pressed, help::PROGRESS_BY_NAME).clicked() {
                f.state.past.names = of_names;
            }
        }
    }
    flow.bottom()
}

/// The open menu of players or tunes, if any.
pub fn menu(f: &mut Frame<'_>, past: &ProgressView) {
    let Some(menu) = f.state.past.menu.take() else { return };
    let (what, all) = menu.of.texts();
    let names = menu.of.names(past);
    let shown = names.iter().skip(menu.from).take(IN_A_MENU);
    let entry = |text: &str| (words::short(text), format!("{what}: {text}, choose"), true);
    let mut entries: Vec<Entry> = vec![entry(all)];
    entries.extend(shown.map(|name| entry(name)));
    let in_it = entries.len() - 1;
    if names.len() > IN_A_MENU {
        entries.push(("More…".to_owned(), "More names".to_owned(), true));
    }
    let window = f.ui.ctx().content_rect();
    let title = format!("Menu: {what}");
    match f.pen.menu(window, (&title, menu.at, menu.new), &entries) {
        MenuEvent::Open => f.state.past.menu = Some(NameMenu { new: false, ..menu }),
        MenuEvent::Closed => {}
        MenuEvent::Pressed(0) => choose(f, past, menu.of, None),
        MenuEvent::Pressed(index) if index <= in_it => {
            let name = names.get(menu.from + index - 1).cloned();
            choose(f, past, menu.of, name);
        }
        MenuEvent::Pressed(_) => {
            let next = menu.from + IN_A_MENU;
            let from = if next < names.len() { next } else { 0 };
            f.state.past.menu = Some(NameMenu { from, new: true, ..menu });
        }
    }
}
