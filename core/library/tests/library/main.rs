//! Black-box tests of the library: what must survive, whatever happens.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stderr,
    clippy::unwrap_used,
    reason = "a test that meets what it did not expect fails; and it tells its figures"
)]

mod comps;
mod crash;
mod damage;
mod edits;
mod faults;
mod figures;
mod grids;
mod history;
mod invented;
mod merging;
mod packed;
mod recording;
mod sidecars;
mod take_store;
mod tunes;
mod undo;
