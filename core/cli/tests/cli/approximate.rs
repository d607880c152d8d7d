//! Results that depend on bridged beats are marked as approximate in every command.

use crate::support::{Desk, Ran};
use serde_json::Value;

/// More than sixteen bars on two anchors: their beats are approximate.
const GRIDS: [&str; 2] = ["--anchors", "grids"];

fn run(desk: &Desk, arguments: &[&str]) -> Ran {
    let ran = desk.run(&[arguments, &GRIDS].concat());
    assert!(matches!(ran.code, Some(0 | 1)), "{arguments:?}: {ran:?}");
    ran
}

fn json(desk: &Desk, arguments: &[&str]) -> Value {
    let out = run(desk, &[arguments, &["--json"]].concat()).out;
    serde_json::from_str(out.lines().next().unwrap()).unwrap()
}

fn file(desk: &Desk, name: &str) -> String {
    String::from_utf8_lossy(&std::fs::read(desk.path(name)).unwrap()).into_owned()
}

#[test]
fn a_comparison_is_marked() {
    let desk = Desk::new();
    let compare = ["compare", "monday.mid", "friday.mid"];
    let output = run(&desk, &[&compare[..], &["--report", "page.html"]].concat()).out;
    assert_eq!(output.matches("  bars and positions are approximate").count(), 2, "{output}");
    let page = file(&desk, "page.html");
    assert!(page.contains("Beat grid: from anchors") && page.contains("are approximate"), "{page}");
    for take in json(&desk, &compare)["takes"].as_array().unwrap() {
        assert_eq!(
            (&take["grid"]["source"], &take["grid"]["about"]),
            (&"hand".into(), &true.into())
        );
        assert!(take["grid"]["bridged"].as_f64().unwrap() > 0.1, "{take}");
    }
}

#[test]
fn a_comp_is_marked_in_cues_midi_and_page() {
    let desk = Desk::new();
    // One of the takes has reliable beats.
    std::fs::remove_file(desk.path("grids/friday.json")).unwrap();
    let comp = ["comp", "monday.mid", "friday.mid", "--form", "8", "--aim", "off-beat"];
    let (files, page) = (["--cues", "cues.csv", "--out", "comp.mid"], ["--report", "comp.html"]);
    let ran = run(&desk, &[&comp[..], &files, &page].concat());
    let cues = json(&desk, &comp)["cues"].as_array().unwrap().clone();
    assert!(!cues.is_empty());
    let lines: Vec<&str> = ran.out.lines().collect();
    let table = file(&desk, "cues.csv");
    let rows: Vec<&str> = table.lines().skip(1).collect();
    for ((cue, line), row) in cues.iter().zip(lines).zip(rows) {
        let is_approximate = cue["take"] == "monday";
        assert_eq!(cue["about"], is_approximate, "{cue}");
        assert_eq!(line.starts_with("about bar"), is_approximate, "{line}");
        assert_eq!(row.ends_with(",1"), is_approximate, "{row}");
    }
    // A take that is entirely approximate.
    let both = ["comp", "monday.mid", "monday2.mid", "--form", "8", "--out", "two.mid"];
    std::fs::copy(desk.path("monday.mid"), desk.path("monday2.mid")).unwrap();
    std::fs::copy(desk.path("grids/monday.anchors.json"), desk.path("grids/monday2.json")).unwrap();
    let ran = run(&desk, &[&both[..], &["--report", "two.html"]].concat());
    assert!(ran.out.starts_with("about bars 1 to "), "{}", ran.out);
    assert!(file(&desk, "two.mid").contains("1: about 1, "), "{}", file(&desk, "two.mid"));
    let page = file(&desk, "two.html");
    assert!(page.contains("are approximate: check the beat grid first"), "{page}");
    assert_eq!(json(&desk, &both[..5])["grids"][1]["about"], true);
}

#[test]
fn advice_and_progress_are_marked() {
    let desk = Desk::new();
    let advice = json(&desk, &["advice", "monday.mid"]);
    let point = &advice["points"][0];
    assert_eq!((&point["rule"], &point["about"]), (&"beat_one".into(), &true.into()), "{advice}");
    let output = run(&desk, &["advice", "monday.mid"]).out;
    assert!(output.contains("Check the beat grid first: positions are approximate."), "{output}");
    assert!(output.contains("Listen around bars "), "{output}");
    let sure = desk.run(&["advice", "monday.mid"]).out;
    assert!(!sure.contains("approximate") && sure.contains("Listen to bars "), "{sure}");
    // Ada's take is approximate, Ben's is not.
    let output = run(&desk, &["progress", "class"]).out;
    assert!(output.contains("Ada: beats are approximate in 1 of 1 takes"), "{output}");
    assert!(!output.contains("Ben: beats"), "{output}");
    let ada = json(&desk, &["progress", "class"]);
    assert_eq!(ada["progress"]["approximate_takes"], 1);
    assert_eq!(ada["progress"]["figures"][0]["weeks"][0]["about"], true);
    run(&desk, &["progress", "class", "--report", "class.html"]);
    let page = file(&desk, "class.html");
    assert!(
        page.contains("a hollow dot") && page.contains("1 take with approximate beats"),
        "{page}"
    );
}

#[test]
fn exported_files_and_tables_are_marked() {
    let desk = Desk::new();
    let ran = run(&desk, &["export", "monday.mid", "--out", "out"]);
    assert!(ran.err.contains("monday.mid: bars and positions are approximate"), "{}", ran.err);
    let document: Value = serde_json::from_str(&file(&desk, "out/monday.json")).unwrap();
    assert_eq!(document["grid"]["about"], true);
    assert_eq!(document["phrases"][0]["about"], true);
    assert!(file(&desk, "out/monday.mid").contains("2: about 1, "));
    let bridged = document["grid"]["bridged"].as_f64().unwrap();
    for table in ["phrases", "figures"] {
        let text = file(&desk, &format!("out/monday.{table}.csv"));
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines[0].ends_with(",about,beats_from,bridged"), "{}", lines[0]);
        assert!(lines[1].ends_with(&format!(",1,hand,{bridged}")), "{}", lines[1]);
    }
    let output = run(&desk, &["review", "--table", "monday.mid"]).out;
    assert!(output.contains("monday.mid (approximate)"), "{output}");
    run(&desk, &["review", "class", "--report", "pages"]);
    let index = file(&desk, "pages/index.html");
    assert_eq!(index.matches("approximate positions").count(), 1, "{index}");
    let chords = ["chords", "monday.mid", "--chart", "tune.txt"];
    let drill = ["drill", "monday.mid", "--drill", "entry 1", "--form", "4"];
    for command in [&chords[..], &drill] {
        assert!(run(&desk, command).out.contains("bars and positions are approximate"));
        assert_eq!(json(&desk, command)["grid"]["about"], true);
    }
}
