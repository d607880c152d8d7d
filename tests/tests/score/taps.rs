//! What beats from taps reach on the labelled solos, where they are at hand.

use crate::support::command::call;
use overbar_testkit::labelled_solos;

/// The share of classes that agree: of the line that begins so, after this word.
fn classes(text: &str, line: &str, word: &str) -> f64 {
    let line = text.lines().find(|known| known.starts_with(line)).unwrap();
    let (_, rest) = line.split_once(&format!("{word} classes ")).unwrap();
    rest.split_once(' ').unwrap().0.parse().unwrap()
}

/// On solos of even number, which nothing was tuned on. Floors just under what was measured.
#[test]
fn what_taps_reach_on_labelled_solos() {
    let Some(solos) = labelled_solos(
        "start classes on tapped beats of 78.7, 86.0 and 86.1 % (at the tap, live, after; a tap a beat), 70.1, \
         79.3 and 79.3 % (a tap a bar) are taken on trust",
    ) else {
        return;
    };
    let ran = call("xtask-analysis", &["score", solos.to_str().unwrap(), "--taps"]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    for (every, live, after) in [
        ("beat", Some([78.5, 85.8]), 86.0),
        ("bar", Some([69.9, 79.0]), 79.0),
        ("four bars", None, 70.5),
    ] {
        let line = format!("even (scored), a tap every {every}");
        assert!(classes(&ran.out, &line, "after") >= after, "{}", ran.out);
        if let Some([at_once, settled]) = live {
            assert!(classes(&ran.out, &line, "at the tap") >= at_once, "{}", ran.out);
            let settles = classes(&ran.out, &line, "once the next have come");
            assert!(settles >= settled, "{}", ran.out);
        }
    }
}
