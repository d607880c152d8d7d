//! One take, analysed whole or as it grows.
//!
//! Runs every stage above over a performance and holds the result, which all stages below read.

pub mod analyser;
pub mod detail;
pub mod overview;
pub mod parts;
pub mod solos;
pub mod take_analysis;
