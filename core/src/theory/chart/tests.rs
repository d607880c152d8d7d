use super::*;
use crate::take::settings::Pulse;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;

fn chord(text: &str) -> Option<Chord> {
    parse(text).unwrap()
}

/// Checks the chart's beats, four per bar, against the symbols of `expected`, one per beat.
fn check(text: &str, expected: &[&str]) {
    let chart = Chart::parse(text, 4).unwrap_or_else(|error| panic!("{text}: {error}"));
    let got: Vec<_> = (0..chart.bars()).flat_map(|bar| chart.by_beat(bar, 4)).collect();
    let expected: Vec<_> = expected.iter().flat_map(|bar| bar.split(' ')).map(chord).collect();
    assert_eq!(got, expected, "{text}");
}

#[test]
fn bars_and_their_beats() {
    check("| Cm7 | F7 |", &["Cm7 Cm7 Cm7 Cm7", "F7 F7 F7 F7"]);
    check("Cm7 F7", &["Cm7 Cm7 F7 F7"]);
    check("| Cm7 F7 B7 |", &["Cm7 Cm7 F7 B7"]);
    check("| Cm7 / / F7 |", &["Cm7 Cm7 Cm7 F7"]);
    check("| Cm7 | % | |", &["Cm7 Cm7 Cm7 Cm7"; 3]);
    check("| C | / / G / ||", &["C C C C", "C C G G"]);
    check("| C ||\n\n  | G | F\n", &["C C C C", "G G G G", "F F F F"]);
    check("|: C | G :| F |", &["C C C C", "G G G G", "C C C C", "G G G G", "F F F F"]);
    check("| C || G |", &["C C C C", "G G G G"]);
    check("| C7 (b9, b13) NC |", &["C7b9b13 C7b9b13 NC NC"]);
}

#[test]
fn errors_name_bar_and_symbol() {
    for (text, expected) in [
        ("", "bar 1, \"\": no chords"),
        ("| % |", "bar 1, \"%\": nothing to repeat"),
        ("| / C |", "bar 1, \"/\": nothing to repeat"),
        ("| C | D Hm7 |", "bar 2, \"Hm7\": a chord starts with its root, a capital A to G"),
        ("| C |\n| D | Fq |", "bar 3, \"Fq\": can't read \"q\""),
        ("| C | % G |", "bar 2, \"%\": % must be alone in its bar"),
        ("| C D E F G |", "bar 1, \"C D E F G\": more chords than the bar has beats (4)"),
        ("| C :|", "bar 1, \":|\": unmatched repeat sign"),
        ("|: C | D |", "bar 2, \"\": unmatched repeat sign"),
        ("|: C |: D :|", "bar 2, \"|:\": unmatched repeat sign"),
    ] {
        assert_eq!(Chart::parse(text, 4).unwrap_err().to_string(), expected, "{text}");
    }
    let long = "| C ".repeat(MAX_BARS + 1);
    assert_eq!(Chart::parse(&long, 4).unwrap_err().why, ChartFault::TooLong);
}

#[test]
fn the_form_repeats_over_the_bars_of_a_song() {
    let mut metres = MetreMap::new(Metre::COMMON);
    metres.change(Beat(8.0), Metre::new(3, 4).unwrap());
    let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host };
    let chart = Chart::parse("| C | F G |", 4).unwrap();
    let laid = chart.laid(lines, Beat(4.5), Beat(16.0));
    let got: Vec<_> = laid.all().iter().map(|c| (c.at.0, c.chord)).collect();
    // From bar 2: C; then three-quarter bars: F F G, C, and no more.
    let expected = [(4.0, "C"), (8.0, "F"), (10.0, "G"), (11.0, "C"), (14.0, "F"), (16.0, "G")];
    assert_eq!(got, expected.map(|(at, text)| (at, chord(text))));
}

proptest::proptest! {
    #[test]
    fn no_text_breaks_it(text in "[A-G|:%/ m7b#()\n]{0,60}", beats in 0_u8..8) {
        if let Ok(chart) = Chart::parse(&text, beats) {
            for bar in 0..chart.bars() {
                proptest::prop_assert_eq!(chart.by_beat(bar, 4).len(), 4);
            }
        }
    }
}
