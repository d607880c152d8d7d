//! Advice after a take: at most three points to work on, each with its evidence, and what went
//! well. Figures are compared with recorded soloists; nobody is graded.
//!
//! A rule fires if the whole 95 % interval of its figure is outside the middle 80 % of recorded
//! solos. With too small a count it stays silent and says so. The recorded solos are in 4/4, so all
//! rules are silent in other metres.
//!
//! Percentage of the 212 solos behind the norms in which each rule fires, is shown among the three
//! points, finds the figure well on the other side, or has too small a count
//! (`cargo xtask advice FOLDER`):
//!
//! | rule | fires | shown | well | too few |
//! |---|---|---|---|---|
//! | beat one | 1.4 | 1.4 | 33.0 | 10.8 |
//! | one place | 0.0 | 0.0 | 16.5 | 10.8 |
//! | stops at the bar line | 1.4 | 1.4 | 23.1 | 11.3 |
//! | short phrases | 2.4 | 1.4 | 42.5 | 10.8 |
//! | no long line | 4.2 | 3.3 | 40.1 | 15.1 |
//! | no room | 1.4 | 1.4 | 33.5 | 15.1 |
//! | ends on the beat | 0.5 | 0.5 | 32.5 | 10.8 |
//! | rushes | 2.8 | 2.8 | | 0.5 |
//! | drags | 5.2 | 5.2 | | 0.5 |
//! | uneven eighths | 0.5 | 0.5 | 24.1 | 40.1 |
//!
//! 17 % of the solos have a point, 60 % have nothing to fix, and 4.7 % are not in 4/4.

mod findings;
pub mod measure;
pub mod measures;
pub mod norm;
mod places;
pub mod rules;
pub(crate) mod spans;
pub mod stored;
pub mod suggestion;
mod text;
pub(crate) mod usual_lag;

pub use findings::{Advice, Evidence, Point, TooFew, Well, advise, advise_on};
pub use places::bars_to_listen_to;
pub use spans::BarSpan;
pub use text::{CHECK_THE_GRID, NOT_ENOUGH, NOTHING_TO_FIX, OTHER_METRE};

#[cfg(test)]
mod tests;
