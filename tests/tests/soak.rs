//! A few minutes of rehearsal; `cargo xtask soak` plays eight.
#![cfg(feature = "faults")]

use overbar_tests::soak::soak;

#[test]
fn a_rehearsal_loses_nothing_and_its_figures_are_those_of_a_fresh_analysis() {
    let soaked = soak(0.05);
    assert!(soaked.notes > 1_000, "{soaked:?}");
    assert_eq!((soaked.kept, soaked.dropped, soaked.different), (soaked.notes, 0, 0), "{soaked:?}");
}
