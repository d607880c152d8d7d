//! Two tunes in one project: each take is cut into the choruses of its own tune, also after the
//! project has moved, and when the tune that was noted was the wrong one.

use crate::desk::Desk;
use crate::player::Solo;
use overbar::command::Command;
use overbar::view_model::tune::{TuneField, TuneText};
use overbar_core::analysis::parts::PartRow;
use overbar_core::take::TakeId;
use overbar_library::project::Unpacked;

/// Twenty-four bars.
const END: f64 = 96.0;

fn tune(name: &str, bars: &str, sections: &str) -> TuneText {
    let [name, bars, sections] = [name, bars, sections].map(str::to_owned);
    TuneText { name, bars, sections, ..TuneText::default() }
}

/// A phrase every two bars, twelve in all, each from the second beat of its first bar.
fn play(desk: &mut Desk, seed: u64) -> TakeId {
    let beats = (0.0, END);
    let solo = Solo { tempo: 132.0, metre: (4, 4), beats, apart: 8.0, entries: &[1.0], seed };
    desk.play(&solo.song(), beats);
    *desk.takes().last().unwrap()
}

/// Shows a take and waits until its parts have `expected` phrases: details follow what is typed.
fn expect_phrases(
    desk: &Desk,
    take: TakeId,
    of: fn(&overbar_core::analysis::parts::Parts) -> &[PartRow],
    expected: &[u32],
) {
    let number = desk.takes().iter().position(|id| *id == take).unwrap() + 1;
    desk.shared.panel.send(Command::LookAt(u32::try_from(number).ok()));
    desk.until(&format!("its parts have {expected:?} phrases"), |board| {
        let detail = board.take_detail.as_ref().filter(|detail| detail.id == take);
        detail.is_some_and(|detail| {
            of(&detail.parts).iter().map(|part| part.figures.phrases).eq(expected.iter().copied())
        })
    });
}

fn settle(desk: &Desk, text: TuneText) {
    let TuneText { name, bars, sections, .. } = text.clone();
    // The name goes first, for what follows is of that tune; no bars are set that its sections do not
    // fill.
    for (field, typed) in [
        (TuneField::Name, name),
        (TuneField::Sections, String::new()),
        (TuneField::Bars, bars),
        (TuneField::Sections, sections),
    ] {
        desk.shared.panel.send(Command::SetTune(field, typed));
    }
    desk.until("the tune is set", |board| board.tune == text);
}

/// Worked by hand: 24 bars are two choruses of twelve or three of eight, a phrase begins in every
/// other bar, and a section A of four bars has two phrases in each chorus.
#[test]
fn takes_of_two_tunes_have_their_own_choruses() {
    let mut desk = Desk::open();
    let long = tune("Harbour lights out", "12", "A4 B8");
    settle(&desk, long.clone());
    let first = play(&mut desk, 21);
    let short = tune("Eight steps down", "8", "");
    settle(&desk, short.clone());
    let second = play(&mut desk, 22);
    expect_phrases(&desk, first, |parts| &parts.choruses, &[6, 6]);
    expect_phrases(&desk, first, |parts| &parts.sections, &[4, 8]);
    expect_phrases(&desk, second, |parts| &parts.choruses, &[4, 4, 4]);

    // The name alone brings the form back.
    desk.shared.panel.send(Command::SetTune(TuneField::Name, " harbour LIGHTS out ".to_owned()));
    let board = desk.until("the form is back", |board| board.tune.bars == "12");
    assert_eq!(board.tune, long);
    assert!(
        ["Harbour lights out", "Eight steps down"]
            .iter()
            .all(|name| { board.tunes.iter().any(|known| known == name) })
    );

    // Elsewhere, with a library that knows neither.
    let project = {
        let session = desk.shared.session();
        desk.shared.take_store().copy_project(&session).pack()
    };
    assert_eq!(project.tunes.len(), 2);
    drop(desk);
    let other = Desk::open();
    {
        let mut session = other.shared.session();
        let unpacked = Unpacked { project, missing: 0 };
        assert!(other.shared.take_store().load_project(&mut session, unpacked).is_empty());
    }
    other.until("both are there", |board| board.labels.len() == 2);
    expect_phrases(&other, first, |parts| &parts.choruses, &[6, 6]);
    expect_phrases(&other, second, |parts| &parts.choruses, &[4, 4, 4]);

    // The second take was the first tune after all.
    other.shared.panel.send(Command::Retune(second, "Harbour lights out".to_owned()));
    other.until("it is shown", |board| board.labels[&second].tune == "Harbour lights out");
    expect_phrases(&other, second, |parts| &parts.choruses, &[6, 6]);
    other.shared.panel.send(Command::Retune(second, String::new()));
    other.until("it is taken back", |board| board.labels[&second].tune.is_empty());
    expect_phrases(&other, second, |parts| &parts.choruses, &[]);
}
