//! What is copied, read from what the panel hands to the clipboard.

use crate::errands::{Desktop, opened, press, until};
use crate::takes_errands::put_into_library;
use egui::OutputCommand;
use egui_kittest::kittest::Queryable as _;
use overbar::command::Command;
use overbar_core::take::TakeId;

/// Presses a button and returns what it copied.
fn copied(desktop: &mut Desktop, label: &str) -> String {
    until(desktop, |d| d.query_by_label(label).is_some());
    desktop.get_by_label(label).click_accesskit();
    for _ in 0..5 {
        desktop.step();
        for command in &desktop.output().platform_output.commands {
            if let OutputCommand::CopyText(text) = command {
                return text.clone();
            }
        }
    }
    panic!("“{label}” copied nothing");
}

fn cells(line: &str) -> Vec<&str> {
    line.split('\t').collect()
}

fn ids(desktop: &Desktop) -> Vec<TakeId> {
    desktop.state().shared.session().takes().iter().map(|take| take.id).collect()
}

#[test]
fn copy_the_table_of_takes() {
    let mut desktop = opened();
    let first = ids(&desktop)[0];
    let send = |d: &Desktop, command| d.state().shared.panel.send(command);
    send(&desktop, Command::Rename(first, "=Slow\tand low".to_owned()));
    send(&desktop, Command::Remark(first, "keep the ending".to_owned()));
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| {
        let snapshot = d.state().shared.panel.snapshot();
        snapshot.takes.iter().all(|take| take.figures.is_some())
            && d.query_all_by_label_contains("=Slow").next().is_some()
    });
    let text = copied(&mut desktop, "Copy the table of takes");
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 1 + 2, "{text}");
    let heads = cells(lines[0]);
    assert!(lines.iter().all(|line| cells(line).len() == heads.len()), "{text}");
    let named = |name: &str| heads.iter().position(|head| *head == name).unwrap();
    let take = cells(lines[1]);
    assert_eq!(take[named("take")], "'=Slow and low", "no formula, and no further cell");
    assert_eq!(take[named("comment")], "keep the ending");
    let figures = desktop.state().shared.panel.snapshot().takes[0].figures.unwrap();
    let share = figures.off_beat;
    let percent = format!("{:.0}", share.share().unwrap() * 100.0);
    assert_eq!(take[named("phrases")], figures.phrases.to_string());
    assert_eq!(take[named("off-beat starts (%)")], percent);
    let count = format!("{} of {}", share.count, share.of);
    assert_eq!(take[named("off-beat starts (count)")], count);
    assert!(take[named("off-beat starts, likely range (%)")].contains('–'));
    // The button says so, and then no longer.
    let label = "Copy the table of takes";
    until(&mut desktop, |d| d.query_by_label(&format!("{label}: copied")).is_some());
    desktop.input_mut().time = Some(60.0);
    until(&mut desktop, |d| d.query_by_label(label).is_some());

    press(&mut desktop, "Check Take 2");
    let text = copied(&mut desktop, "Copy the table of the checked takes");
    assert_eq!(text.lines().count(), 2, "{text}");
    assert!(text.lines().nth(1).unwrap().starts_with("Take 2\t"), "{text}");
}

#[test]
fn copy_the_figures_of_a_take() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    let text = copied(&mut desktop, "Copy the figures of this take");
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0], "Take 2");
    assert!(lines[1].contains(" notes"), "{text}");
    let heads = cells(lines[3]);
    assert_eq!(heads[..2], ["figure", "value (%)"]);
    let figures = desktop.state().shared.panel.snapshot().figures.clone();
    let share = figures.off_beat_entries;
    let row = cells(lines[4]);
    assert_eq!(row.len(), heads.len());
    assert_eq!(row[0], "off-beat starts");
    assert_eq!(row[1], format!("{:.0}", share.share().unwrap() * 100.0));
    assert_eq!(row[2], format!("{} of {}", share.count, share.of));
    assert_eq!(row[4], "51–80");
    assert!(cells(lines[8])[0].starts_with("space"), "{text}");
    assert!(text.contains("ms"), "the time feel has its unit: {text}");
}

#[test]
fn copy_a_comparison() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    ["Check Take 1", "Check Take 2"].iter().for_each(|take| press(&mut desktop, take));
    press(&mut desktop, "Compare the checked takes");
    let text = copied(&mut desktop, "Copy the comparison");
    let lines: Vec<&str> = text.lines().collect();
    let heads = cells(lines[0]);
    for (line, begins) in lines[1..3].iter().zip(["A\tTake 1\t", "B\tTake 2\t"]) {
        assert!(line.starts_with(begins), "{text}");
        assert_eq!(cells(line).len(), heads.len(), "{text}");
    }
    assert_eq!(heads.last(), Some(&"mean length (bars)"));
    assert!(heads.contains(&"off-beat endings (%)"));
}

#[test]
fn copy_the_table_of_the_library() {
    put_into_library("Etude for a table");
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    press(&mut desktop, "Takes: Library");
    let text = copied(&mut desktop, "Copy the table of these takes of the library");
    let lines: Vec<&str> = text.lines().collect();
    let heads = cells(lines[0]);
    assert!(lines.len() >= 2, "{text}");
    assert!(lines.iter().all(|line| cells(line).len() == heads.len()), "{text}");
    let named = |name: &str| heads.iter().position(|head| *head == name).unwrap();
    // The newest comes first; it was played at 120 BPM.
    let newest = cells(lines[1]);
    assert_eq!((newest[named("BPM")], newest[named("time signature")]), ("120", "4/4"), "{text}");
    assert!(newest[named("played")].starts_with("20"), "{text}");
}
