//! Keeps takes.
pub mod packed;
