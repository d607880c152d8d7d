//! A popup menu, opened by the secondary mouse button or the menu key.

use crate::panel::widgets::button;
use crate::panel::widgets::keys::{self, menu_id};
use crate::panel::widgets::pen::Pen;
use egui::{
    Align2, CornerRadius, Id, Key, LayerId, Order, Pos2, Rect, Response, Role, Sense, Stroke,
    StrokeKind, UiBuilder, Vec2, WidgetInfo, pos2, vec2,
};

/// An entry: its text, its screen-reader label, and whether it is enabled.
pub type Entry = (String, String, bool);

/// The state of a menu after a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MenuEvent {
    /// It stays open.
    Open,
    /// It was closed: by Escape, by a press outside it, or by a change of focus.
    Closed,
    /// The entry of this index was pressed.
    Pressed(usize),
}

impl Pen<'_> {
    /// A menu named `name` at `at`, or as close as fits into `window`; its first entry gets the focus when it
    /// is `new`. The arrow keys move through the entries, Enter presses, Escape closes.
    pub fn menu(
        &mut self,
        window: Rect,
        (name, at, new): (&str, Pos2, bool),
        entries: &[Entry],
    ) -> MenuEvent {
        let layer = LayerId::new(Order::Foreground, Id::unique("overbar menu"));
        let builder = UiBuilder::new().layer_id(layer).max_rect(window);
        let style = self.style;
        let mut ui = self.ui.new_child(builder);
        ui.set_clip_rect(window);
        let pen = Pen { ui: &mut ui, style };
        pen.float(window, (name, at, new), entries)
    }

    fn float(
        &self,
        window: Rect,
        (name, at, new): (&str, Pos2, bool),
        entries: &[Entry],
    ) -> MenuEvent {
        // A press outside the menu closes it and does nothing else.
        let around = self.interact(window, "around the menu", Sense::click());
        around.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Close the menu"));
        let place = self.menu_place(window, at, entries);
        let theme = self.theme();
        self.painter().rect_filled(place, CornerRadius::same(4), theme.raised);
        let edge = Stroke::new(1.0, theme.ink_soft);
        self.painter().rect_stroke(place, CornerRadius::same(4), edge, StrokeKind::Inside);
        self.tell(place, "menu", Role::Menu, || name.to_owned());
        let inner = place.shrink(self.len(4.0));
        let high = inner.height() / entries.len().max(1) as f32;
        let mut pressed = None;
        for (index, entry) in entries.iter().enumerate() {
            let top = inner.top() + index as f32 * high;
            let lane = Rect::from_x_y_ranges(inner.x_range(), top..=top + high);
            if self.menu_entry(lane, index, entry).clicked() {
                pressed = Some(index);
            }
        }
        if let Some(index) = pressed {
            return MenuEvent::Pressed(index);
        }
        if around.clicked() || around.secondary_clicked() || self.escaped() {
            return MenuEvent::Closed;
        }
        self.walk(entries, new)
    }

    fn menu_place(&self, window: Rect, at: Pos2, entries: &[Entry]) -> Rect {
        let texts = entries.iter().map(|(text, ..)| text.as_str());
        let size = vec2(
            self.widest(texts) + self.len(28.0),
            button::height(self.style) * entries.len() as f32 + self.len(8.0),
        );
        let room = window.shrink(2.0);
        let last = (room.max - size).max(room.min);
        let at = pos2(at.x.clamp(room.min.x, last.x), at.y.clamp(room.min.y, last.y));
        Rect::from_min_size(at, size.min(room.size()).max(Vec2::ZERO))
    }

    fn menu_entry(&self, lane: Rect, index: usize, (text, label, can): &Entry) -> Response {
        let sense = if *can { Sense::click() } else { Sense::hover() };
        let response = self.ui.interact(lane, menu_id(index), sense);
        response.widget_info(|| WidgetInfo::labeled(Role::MenuItem, *can, label));
        let theme = self.theme();
        if *can && (response.hovered() || response.has_focus()) {
            self.painter().rect_filled(lane, CornerRadius::same(3), theme.rule);
        }
        let ink = if *can { theme.ink } else { theme.ink_soft };
        let line = self.line(text.as_str(), self.style.small, ink);
        line.paint(lane.left_center() + vec2(self.len(8.0), 0.0), Align2::LEFT_CENTER);
        self.focus_ring(&response);
        response
    }

    fn escaped(&self) -> bool {
        self.ui.input_mut(|input| input.consume_key(egui::Modifiers::NONE, Key::Escape))
    }

    /// Moves the focus among the enabled entries.
    fn walk(&self, entries: &[Entry], new: bool) -> MenuEvent {
        let open: Vec<usize> = (0..entries.len()).filter(|index| entries[*index].2).collect();
        let focused = self.ui.memory(egui::Memory::focused);
        let now = open.iter().position(|index| focused == Some(menu_id(*index)));
        if focused.is_some() && now.is_none() && !new {
            return MenuEvent::Closed;
        }
        let to = if new { Some(0) } else { keys::through(self.ui, now, open.len(), open.len()) };
        if let Some(index) = to.and_then(|place| open.get(place)) {
            self.ui.memory_mut(|memory| memory.request_focus(menu_id(*index)));
        }
        MenuEvent::Open
    }
}
