//! A teacher's story: six invented students, three weeks of files, a page each with what changed
//! and what to practise. And what the command says of a folder that is not as it should be.

mod support;

use overbar_testkit::midi::{QUARTER, Track, midi_file};
use std::path::{Path, PathBuf};
use support::command::{Ran, call, folder};

/// Phrases as (eighth of the turn, eighths), in turn.
type Turns = &'static [(u64, u64)];

/// Entries all over the bar, long lines and short ones, rests, ends off the beat for the most.
const WELL: Turns = &[(1, 17), (2, 8), (5, 20), (7, 13), (3, 18), (6, 6)];
const BEAT_ONE: Turns = &[(0, 17), (0, 8), (0, 20), (0, 13), (0, 18), (0, 6)];
const SHORT: Turns = &[(1, 3), (2, 3), (5, 3), (7, 3), (3, 3), (6, 3)];
const NO_END: Turns = &[(0, 24)];

/// Twelve turns of three bars in 4/4 at 120, in eighths.
fn take(turns: Turns) -> Vec<u8> {
    let eighth = QUARTER / 2;
    let mut track = Track::default();
    for (turn, (start, eighths)) in (0..12).zip(turns.iter().cycle()) {
        for at in 0..*eighths {
            let from = (turn * 24 + start + at) * eighth;
            track = track.note(0, 60, from, from + eighth * 4 / 5);
        }
    }
    midi_file(0, &[Track::default().tempo(0, 500_000).metre(0, (4, 4)).and(&track)])
}

/// What each student plays in the first two weeks, and in the last.
const STUDENTS: [(&str, Turns, Turns); 5] = [
    ("Ada", BEAT_ONE, WELL),
    ("Ben", BEAT_ONE, BEAT_ONE),
    ("Cleo & Co", SHORT, SHORT),
    ("Dora", NO_END, NO_END),
    ("Emil", WELL, WELL),
];

/// Three takes a week, from Monday 2025-03-03 on; and one of Fay's, who played little.
fn write_weeks(folder: &Path) {
    let mut index = "student,date,tune,file\n".to_owned();
    for (number, (name, before, now)) in STUDENTS.iter().enumerate() {
        for week in 0..3 {
            for day in [3, 5, 7] {
                let date = day + 7 * week;
                let file = format!("{number}-{date}.mid");
                std::fs::write(folder.join(&file), take(if week == 2 { now } else { before }))
                    .unwrap();
                index += &format!("{name},2025-03-{date:02},\"Study, in F\",{file}\n");
            }
        }
    }
    let few = Track::default().note(0, 60, 0, 400).note(0, 62, 480, 900);
    std::fs::write(folder.join("fay.mid"), midi_file(0, &[few])).unwrap();
    index += "Fay,2025-03-20,<Study>,fay.mid\n";
    std::fs::write(folder.join("index.csv"), index).unwrap();
    let drills = "student,date,tune,drill,met,due\n\
                  Ben,2025-03-17,\"Study, in F\",\"Enter on the \"\"and\"\" of 1\",4,10\n\
                  Ben,2025-03-19,\"Study, in F\",\"Enter on the \"\"and\"\" of 1\",8,10\n";
    std::fs::write(folder.join("drills.csv"), drills).unwrap();
}

fn report(folder: &Path) -> (Ran, PathBuf) {
    let out = folder.join("out.html");
    let ran = call(
        "overbar",
        &["progress".as_ref(), folder.as_os_str(), "--report".as_ref(), out.as_os_str()],
    );
    (ran, out)
}

#[test]
fn six_students_over_three_weeks() {
    let folder = folder("progress");
    write_weeks(&folder);
    let (ran, out) = report(&folder);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    let html = std::fs::read_to_string(out).unwrap();
    let pages: Vec<&str> = html.split("<section class").skip(1).collect();
    assert_eq!(pages.len(), 6);
    let [ada, ben, cleo, dora, emil, fay] = pages[..] else { unreachable!() };

    assert!(ada.contains("<dd class=\"value\">9</dd>") && ada.contains(">Study, in F</dd>"));
    assert!(ada.contains("on 9 days; streak 1, best 1"));
    assert!(ada.contains("Phrases that start on beat one: down"), "what is read first");
    assert!(ada.contains("Vertical mark: last month, 0 %"));
    assert!(ada.contains(
        "Phrases that start on beat one: 0\u{a0}% this week (36 counted), 100\u{a0}% last month (72)"
    ));
    assert!(ada.contains("Nothing stands out"));
    assert!(ben.contains("No clear change since last month."));
    assert!(ben.contains(
        "Many phrases start on beat one.</strong> Start every phrase on the &amp; of 1."
    ));
    assert!(ben.contains("Listen to bars 1 to 34 of <bdi>Study, in F, 2025-03-21</bdi>."));
    assert!(ben.contains("8 of 10, 80 % <small>2025-03-19</small>"), "the drill's best");
    assert!(cleo.contains("<h2><bdi>Cleo &amp; Co</bdi></h2>"));
    assert!(cleo.contains("Most phrases are shorter than a bar, throughout the take.</strong>"));
    assert!(
        dora.contains("There is hardly any space between phrases.</strong> Rest at least 2 beats")
    );
    assert!(emil.contains("Nothing stands out") && emil.contains("What went well"));
    assert!(fay.contains("Not enough phrases for advice yet.") && fay.contains("&lt;Study&gt;"));
    assert!(!html.contains("<Study>") && !html.contains("<script"));
}

#[test]
fn what_is_wrong_with_a_folder_is_reported() {
    for (index, expected) in [
        ("student,date,file\n", "index.csv: no column \"tune\""),
        ("student,date,tune,file\n", "progress-wrong: no takes"),
        (
            "student,date,tune,file\nAda,3.3.2025,F,a.mid\n",
            "index.csv line 2, date: \"3.3.2025\" is not a date like 2025-03-04",
        ),
        ("student,date,tune,file\n,2025-03-03,F,a.mid\n", "index.csv line 2, student: it is empty"),
        ("student,date,tune,file\nAda,2025-03-03\n", "index.csv: CSV error"),
    ] {
        let folder = folder("progress-wrong");
        std::fs::write(folder.join("index.csv"), index).unwrap();
        let (ran, _) = report(&folder);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{index}");
        assert!(ran.err.contains(expected), "{expected}: {}", ran.err);
    }
}

/// One file that can't be read is reported; the page is written about the others.
#[test]
fn a_missing_file_does_not_hide_the_others() {
    let folder = folder("progress-missing");
    std::fs::write(folder.join("a.mid"), take(WELL)).unwrap();
    let index = "student,date,tune,file\nAda,2025-03-03,F,a.mid\nAda,2025-03-04,F,b.mid\n";
    std::fs::write(folder.join("index.csv"), index).unwrap();
    let (ran, out) = report(&folder);
    assert_eq!(ran.code, Some(2));
    assert_eq!(ran.err.lines().count(), 1);
    assert!(ran.err.contains("index.csv line 3") && ran.err.contains("b.mid"));
    assert!(std::fs::read_to_string(out).unwrap().contains("on 1 day; streak 1, best 1"));
}
