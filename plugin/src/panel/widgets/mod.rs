//! The building blocks of all views: buttons, text fields, lists, phrases, help. Widgets do not depend on
//! takes or commands.

mod area;
pub(super) mod button;
mod columns;
pub(super) mod field;
mod grip;
pub(super) mod help;
pub(super) mod icon;
pub mod keys;
mod label_tooltip;
mod menu;
mod pen;
pub mod phrase_mark;
mod scroll;
mod sentences;
mod slider;
mod staff;
mod stepper;
mod text;

pub(super) use self::area::split_top;
pub(super) use self::button::{Flow, FlowLeft};
pub(super) use self::columns::{Column, ColumnLayout};
pub(super) use self::field::{Field, Typing};
pub(super) use self::menu::{Entry, MenuEvent};
pub(super) use self::pen::Pen;
pub(super) use self::phrase_mark::{End, Mark, paint_pin};
pub(super) use self::scroll::{GrowingScroll, Scroll, bar_place, beside_a_bar};
pub(super) use self::sentences::{Sentence, Sign};
pub(super) use self::slider::Slid;
pub(super) use self::staff::StaffPlace;
pub(super) use self::text::Line;
