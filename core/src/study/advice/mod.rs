//! What to work on next, after a take: at most three points, each with its evidence, and what
//! went well. A figure is held against what recorded soloists do; nobody is graded.
//!
//! A point is made where the whole 95 % interval of a figure lies outside what four in five
//! recorded solos do, never on a figure alone, and where the count is too small the rule is
//! silent and says so. Solos on record are in four quarters, so that in other metres all rules
//! are silent.
//!
//! How often each rule speaks on the 212 solos that the norms are from, how often it is told
//! among at most three points, how often the figure is well on the other side, and how often too
//! little was counted; in percent, by `cargo xtask advice FOLDER`:
//!
//! | rule | speaks | told | well | too few |
//! |---|---|---|---|---|
//! | beat one | 1.4 | 1.4 | 33.0 | 10.8 |
//! | one place | 0.0 | 0.0 | 16.5 | 10.8 |
//! | stops at the bar line | 1.4 | 1.4 | 23.1 | 11.3 |
//! | short phrases | 2.4 | 1.4 | 42.5 | 10.8 |
//! | no long line | 4.2 | 3.3 | 40.1 | 15.1 |
//! | no room | 1.4 | 1.4 | 33.5 | 15.1 |
//! | ends on the beat | 0.5 | 0.5 | 32.5 | 10.8 |
//! | rushes | 0.5 | 0.5 | | 0.5 |
//! | drags | 2.4 | 2.4 | | 0.5 |
//! | uneven eighths | 0.0 | 0.0 | 21.2 | 44.8 |
//!
//! One solo in nine has a point, two in three have nothing to fix, and 4.7 % are not in four quarters.

mod findings;
pub mod measure;
pub mod measures;
pub mod norm;
mod places;
pub mod rules;
pub mod spans;
pub mod stored;
pub mod suggestion;
mod text;
pub mod usual_lag;

pub use findings::{Advice, Evidence, Point, TooFew, Well, advise, advise_on};
pub use places::bars_to_listen_to;
pub use text::{NOTHING_TO_FIX, OTHER_METRE};

#[cfg(test)]
mod tests;
