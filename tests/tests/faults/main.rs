//! What hosts do to a plugin, and what it must survive. Each test writes its row of
//! `tests/faults.md`.

mod blocks;
mod events;
#[cfg(feature = "faults")]
mod inside;
mod life;
mod state;
mod support;
mod transport;

#[test]
fn the_table_is_complete() {
    if std::env::var_os("UPDATE_SNAPSHOTS").is_none() {
        assert!(overbar_tests::fault_table::is_complete(), "tests/faults.md is not up to date");
    }
}
