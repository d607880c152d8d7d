//! Drills as text files and by name.

use crate::practice::{
    BarPosition, Breath, Drill, DrillForm, Exit, Goal, NoteValue, TempoPlan, built_in, read, write,
};
use proptest::prelude::*;

fn goal() -> impl Strategy<Value = Goal> {
    let value = prop::sample::select(NoteValue::ALL.to_vec());
    let spot = prop::sample::select(vec!["1", "4&", "2e", "3a", "1t2", "12t3"])
        .prop_map(|name| name.parse::<BarPosition>().unwrap());
    let exit = prop::sample::select(vec![Exit::OffTheBeat, Exit::OverTheBarLine]);
    prop_oneof![
        prop::collection::vec(value, 1..4).prop_map(Goal::UnbrokenLine),
        prop::collection::vec(prop::collection::vec(spot, 1..4), 1..4)
            .prop_map(Goal::StartPosition),
        exit.prop_map(Goal::EndingPosition),
        (0.25..64.0).prop_map(Goal::LongLine),
        (0.25..64.0).prop_map(|beats| Goal::BreathingRoom(Breath::Beats(beats))),
        (0.01..0.99).prop_map(|share| Goal::BreathingRoom(Breath::Share(share))),
    ]
}

fn drill() -> impl Strategy<Value = Drill> {
    let form = (1..=128_u32, prop::option::of(-100..1000_i32), 0..=16_u32)
        .prop_map(|(bars, first_bar, count_in)| DrillForm { bars, first_bar, count_in });
    let tempo = (20.0..200.0, 0.0..200.0, 5.0..50.0).prop_map(|(from, more, by)| TempoPlan {
        from,
        to: from + more,
        by,
    });
    let goals = prop::collection::vec(goal(), 1..8);
    (r#"[ -~äß♭"\\]{0,40}x"#, goals, form, 3..=64_u32, prop::option::of(tempo), 0.0..=1.0).prop_map(
        |(name, goals, form, choruses, tempo, pass)| Drill {
            name,
            goals,
            form,
            choruses,
            tempo,
            pass,
        },
    )
}

proptest! {
    #[test]
    fn drill_files_round_trip(drill in drill()) {
        let text = write(&drill).unwrap();
        prop_assert_eq!(read(&text).unwrap(), drill, "{}", text);
    }

    #[test]
    fn any_text_is_read_or_refused_with_a_message(text in "(version = 1\n)?[ -~\n]{0,200}") {
        if let Err(error) = read(&text) {
            prop_assert!(error.line >= 1 && !error.what.is_empty());
        }
    }
}

const GOOD: &str = "\
version = 1
name = \"Late entries\"
choruses = 2
[form]
bars = 16
[[goal]]
kind = \"entry place\"
places = [[\"4&\"], [\"1&\", \"3&\"]]
[[goal]]
kind = \"long line\"
bars = 4
";

#[test]
fn a_handwritten_file() {
    let drill = read(GOOD).unwrap();
    assert_eq!(drill.form, DrillForm { bars: 16, first_bar: None, count_in: 1 });
    let aims: Vec<String> = drill.goals.iter().map(Goal::aim).collect();
    assert_eq!(
        aims,
        [
            "Start every phrase on the & of 4; then on the & of 1 or the & of 3.",
            "Play at least one phrase of 4 bars in each chorus.",
        ]
    );
}

/// Each has one thing changed; the error names its line and its field.
#[test]
fn errors_name_the_line_and_the_field() {
    for (old, new, line, field, word) in [
        ("version = 1", "version = 2", 1, "version", "newer version of Overbar"),
        ("version = 1", "version = \"1\"", 1, "version", "invalid type"),
        ("version = 1\n", "", 1, "version", "missing"),
        ("bars = 16", "bars = 0", 5, "bars", "1\u{2013}128"),
        ("bars = 16", "bars = \"many\"", 5, "bars", "invalid type"),
        ("bars = 16", "bars = -3", 5, "bars", "invalid value"),
        ("bars = 16", "bras = 16", 5, "bras", "unknown field"),
        ("choruses = 2", "choruses = 1", 8, "places", "one entry per chorus"),
        ("choruses = 2", "choruses = 65", 3, "choruses", "1\u{2013}64"),
        ("choruses = 2", "choruses = 2\npass = 90", 4, "pass", "0\u{2013}1"),
        ("choruses = 2", "choruses = 2\nchoruses = 2", 4, "choruses", "duplicate"),
        ("4&", "4x", 8, "places", "4x"),
        ("\"4&\"", "", 8, "places", "1\u{2013}64 positions"),
        ("entry place", "entrance", 7, "kind", "entry place"),
        ("bars = 4", "beats = 4", 11, "beats", "does not belong"),
        ("bars = 4\n", "", 9, "bars", "missing"),
        ("bars = 4", "bars = nan", 11, "bars", "above 0"),
        ("bars = 4", "bars = ", 11, "bars", ""),
        ("[form]", "[form", 4, "", ""),
        ("[form]", "[tempo]\nfrom = 100\nto = 90\nby = 5\n[form]", 6, "to", "below the first"),
        ("[form]", "[tempo]\nfrom = 9\nto = 90\nby = 5\n[form]", 5, "from", "20\u{2013}400"),
        ("[form]", "[tempo]\nfrom = 80\nto = 90\nby = 0\n[form]", 7, "by", "must reach"),
        ("[form]", "[tempo]\nfrom = 80\nto = 90\n[form]", 4, "", "missing field `by`"),
    ] {
        let text = GOOD.replacen(old, new, 1);
        assert_ne!(text, GOOD);
        let error = read(&text).unwrap_err();
        let message = error.to_string();
        assert_eq!((error.line, error.field.as_str()), (line, field), "{new}: {message}");
        assert!(error.what.contains(word), "{new}: {message}");
        assert_eq!(message.lines().count(), 1, "{message}");
    }
}

#[test]
fn short_names_make_drills_and_errors_list_the_choices() {
    let climbing = built_in("line half,quarter,eighth").unwrap();
    assert_eq!(climbing.choruses, 3);
    assert_eq!(climbing.goals.len(), 1);
    let rest = built_in("rest 30%").unwrap();
    assert_eq!(rest.goals, [Goal::BreathingRoom(Breath::Share(0.3))]);
    for (wrong, word) in [
        ("", "unknown drill"),
        ("solo", "unknown drill"),
        ("line", "not a note value"),
        ("line fifth", "not a note value"),
        ("entry", "is not a position"),
        ("entry 5x", "is not a position"),
        ("exit", "off the beat"),
        ("long", "not a number"),
        ("long 0", "above 0"),
        ("long inf", "not a number"),
        ("rest 200%", "between 0 and 1"),
        ("entry 4& + ", "unknown drill"),
    ] {
        let message = built_in(wrong).unwrap_err();
        assert!(message.contains(word), "{wrong}: {message}");
    }
}
