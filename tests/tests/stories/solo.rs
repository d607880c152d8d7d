//! Solo takes in a producer's session: three rounds of a loop, a punch, a comp with its cue list.

use crate::desk::{Desk, folder, text};
use crate::hearing::attacks;
use crate::player::Solo;
use overbar::command::Command;
use overbar::command::comp::CompareCommand;
use overbar::command::export::{FileKind, Subject};
use overbar::host::inspect::last_made_here;
use overbar::view_model::hear::HearWhat;
use overbar::view_model::selection::Columns;
use overbar::view_model::tune::TuneField;
use overbar_core::study::comp::Aim;
use overbar_core::take::TakeId;
use overbar_tests::host::{ClapRig, Host};

/// Two choruses of twelve bars.
const END: f64 = 96.0;

const TEMPO: f64 = 132.0;

/// The second chorus, in quarters.
const SECOND_CHORUS: (f64, f64) = (48.0, 96.0);

/// The punch, from bar 13 to bar 18, in quarters.
const PUNCH: (f64, f64) = (48.0, 72.0);

fn solo(entries: &[f64], seed: u64) -> overbar_tests::song::Song {
    let beats = (0.0, END);
    Solo { tempo: TEMPO, metre: (4, 4), beats, apart: 8.0, entries, seed }.song()
}

#[test]
fn a_loop_a_punch_a_comp_and_its_cue_list() {
    let mut desk = Desk::open();
    let folder = folder("solo");
    let rounds = [solo(&[0.0, 0.0, 1.0], 1), solo(&[0.5, 2.5, 1.5], 2), solo(&[3.5, 0.0, 2.5], 3)];
    for round in &rounds {
        desk.roll(round, (0.0, END), &|_| false);
    }
    desk.stop(&rounds[0], END);
    assert_eq!(desk.takes().len(), 3, "a take for each round of the loop");

    // Punched in over the second chorus: only what is recorded is a take.
    desk.set("record_only", 1.0);
    let punch = solo(&[1.5, 0.5], 4);
    desk.roll(&punch, (32.0, 80.0), &|beat| (PUNCH.0 - 0.1..PUNCH.1).contains(&beat));
    desk.stop(&punch, 80.0);
    let takes = desk.takes();
    assert_eq!(takes.len(), 4);
    let punched = {
        let session = desk.shared.session();
        let notes = session.takes()[3].performance.soloist.notes();
        let beats = notes.first().zip(notes.last()).map(|(a, b)| (a.on.beat.0, b.on.beat.0));
        beats.unwrap()
    };
    assert!(punched.0 >= PUNCH.0 - 0.1 && punched.1 <= PUNCH.1 + 0.1, "{punched:?}");

    let bars = "12".to_owned();
    desk.shared.panel.send(Command::SetTune(TuneField::Bars, bars));
    desk.wish(CompareCommand::Folder(folder.to_str().unwrap().to_owned()));
    desk.wish(CompareCommand::Columns(Columns::Bars(2)));
    desk.wish(CompareCommand::Aim(Aim::OffBeat));
    let plain = desk.choose(&takes);
    let by_hand = plain.compare.sheet.as_deref().unwrap().as_ref().unwrap();
    assert_eq!((by_hand.columns.len(), by_hand.rows.len()), (12, 4));
    assert_eq!(by_hand.choice, [0; 12], "nothing was chosen yet");

    desk.wish(CompareCommand::Propose);
    let proposed = desk.worked_out(|board| !board.compare.selection.cells.is_empty());
    let proposed = proposed.compare.sheet.as_deref().unwrap().as_ref().unwrap().clone();
    let off = |figures: &overbar_core::phrase::figures::Figures| figures.off_beat_entries.count;
    assert!(off(&proposed.figures) > off(&by_hand.figures));
    // The punch has no other bars.
    for (column, take) in proposed.columns.iter().zip(&proposed.choice) {
        assert!(*take != 3 || (13..=17).contains(&column.first_bar), "{column:?}");
    }

    // The producer wants the punch in bars 13 and 14, whatever it costs.
    desk.wish(CompareCommand::Cell { first: 13, end: 15, take: takes[3] });
    let board = desk.worked_out(|board| board.compare.selection.at(13) == Some(takes[3]));
    let comp = board.compare.sheet.as_deref().unwrap().as_ref().unwrap().clone();
    assert_eq!(comp.choice[6], 3);
    let edits = comp.choice.windows(2).filter(|pair| pair[0] != pair[1]).count();
    assert_eq!((comp.edits.len(), comp.cues.len()), (edits, edits + 1));

    let list = text(&desk.export(Subject::Comp, FileKind::CueText));
    assert_eq!(list, comp.cue_text);
    assert_eq!(list.lines().count(), comp.cues.len());
    assert!(list.lines().any(|line| line.starts_with("bars 13 to") && line.contains("Take 4")));
    let table = text(&desk.export(Subject::Comp, FileKind::CueTable));
    assert_eq!(table.trim().lines().count(), comp.cues.len() + 1);
    let page = text(&desk.export(Subject::Comp, FileKind::Page));
    assert!(page.contains("Cue list") && page.contains("Take 4"));

    // The MIDI has a marker for each phrase, and is heard as the comp is.
    let score = text(&desk.export(Subject::Comp, FileKind::Score));
    assert!(score.contains("<score-partwise version=\"4.0\">"), "{score}");
    let path = desk.export(Subject::Comp, FileKind::Midi);
    let bytes = std::fs::read(&path).unwrap();
    let file = midly::Smf::parse(&bytes).unwrap();
    let markers = file.tracks.iter().flatten().filter(|event| {
        matches!(event.kind, midly::TrackEventKind::Meta(midly::MetaMessage::Marker(_)))
    });
    assert_eq!(markers.count(), comp.figures.phrases as usize);
    // The comp, both sides of its edits, a chorus, and the bars of an advice can be listened to.
    let file = attacks(&path);
    desk.hears_as(HearWhat::Comp, &file, (0.0, END), TEMPO);
    for (index, edit) in comp.edits.iter().enumerate() {
        let bar = |number: i64| 4.0 * (number - 1) as f64;
        let around = (bar(edit.bar - 2).max(0.0), bar(edit.bar + 2).min(END));
        desk.hears_as(HearWhat::Edit { index }, &file, around, TEMPO);
    }
    let of_take = attacks(&desk.export(Subject::Take(takes[1]), FileKind::Midi));
    desk.hears_as(HearWhat::Chorus { take: takes[1], chorus: 2 }, &of_take, SECOND_CHORUS, TEMPO);
    let advised = HearWhat::Bars { take: takes[1], from: 9, to: 12 };
    desk.hears_as(advised, &of_take, (32.0, 48.0), TEMPO);
    assert_eq!(desk.takes(), takes, "what is heard is no take");

    desk.set("record_only", 0.0);
    desk.wish(CompareCommand::Import(vec![path.to_str().unwrap().to_owned()]));
    let shared = desk.shared.clone();
    desk.until("the comp is read back", |_| shared.session().takes().len() == 5);
    let read: TakeId = *desk.takes().iter().find(|id| !takes.contains(id)).unwrap();
    let board = desk.choose(&[takes[0], read]);
    let against = board.compare.comparison.as_deref().unwrap().as_ref().unwrap();
    assert_eq!(against.comparison.takes[1].figures.phrases, comp.figures.phrases);
    assert_eq!(against.comparison.takes[1].figures.entries, comp.figures.entries);

    // The project keeps what was chosen.
    let chosen = desk.shared.publisher.compare.selection();
    let state = desk.host.save_state();
    let mut again = ClapRig::linked().unwrap();
    let shared = last_made_here().unwrap();
    assert!(again.load_state(&state));
    assert_eq!(shared.publisher.compare.selection(), chosen);
    std::fs::remove_dir_all(&folder).unwrap();
}
