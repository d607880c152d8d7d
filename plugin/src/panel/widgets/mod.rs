//! What all views draw with: buttons, text fields, lists, phrases, help. A widget knows nothing of
//! takes or commands.

pub mod area;
pub mod button;
pub mod columns;
pub mod field;
pub mod help;
pub mod keys;
pub mod pen;
pub mod phrase_mark;
pub mod scroll;
pub mod sentences;
pub mod text;
