//! A comp tells where the beats of each of its stretches come from: packed, recorded, in projects, split and
//! merged.

use crate::invented::{Host, take};
use crate::packed::on_its_own_grid;
use crate::take_store::Instance;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::grid::anchors::AnchorSource::{self, Hand, Tap};
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::output::export::{PhraseRow, phrases_csv};
use overbar_core::study::comp::{By, Nudge, Sheet, Source};
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::take::grid_summary::GridSummary;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::theory::form::Form;
use overbar_core::time::tempo_map::Knot;
use overbar_core::time::{Beat, Moment, Second, SecondSpan, Tempo};
use overbar_library::chunks::{ChunkKind, ChunkReader};
use overbar_library::delta::DeltaTracker;
use overbar_library::packed::{PackError, pack, unpack};
use overbar_library::splice::join;
use overbar_library::take_store::TakeParts;
use overbar_library::{Library, Origin};
use proptest::prelude::*;
use std::sync::LazyLock;

fn played() -> Performance {
    take(Host::STEADY, 800, 4.0, 9)
}

/// One whose beats were set by hand every 40: most of it is bridged.
fn by_hand() -> Performance {
    let mut take = played();
    let mut anchors = take.anchors().unwrap();
    let places: Vec<Second> = anchors.all().iter().map(|anchor| anchor.at).collect();
    for (index, at) in places.into_iter().enumerate() {
        if index % 40 != 0 {
            anchors = anchors.without(at).unwrap_or(anchors);
        }
    }
    take.set_grid(Some(&anchors));
    take
}

/// Eight bars each from taps, from the host and by hand.
fn comp() -> Performance {
    let takes = [on_its_own_grid(), played(), by_hand()];
    let takes = takes.map(|take| TakeAnalysis::of(take, Settings::default()));
    let source = |(analysis, name)| Source { name, analysis };
    let sources: Vec<Source<'_>> = takes.iter().zip(["one", "two", "three"]).map(source).collect();
    let sheet = Sheet::new(&sources, &Form::new(24, 1).unwrap(), By::Bars(8)).unwrap();
    let choice: Vec<usize> = (0..sheet.columns().len()).map(|column| column % 3).collect();
    Performance::clone(sheet.cut(&choice, Nudge::No).unwrap().analysis.take())
}

static COMP: LazyLock<Performance> = LazyLock::new(comp);

fn sources(take: &Performance) -> Vec<Option<AnchorSource>> {
    GridSummary::of(take).map(|grid| grid.sources).unwrap_or_default()
}

/// The last columns of the table of phrases: `bridged`, `beats_from` and `about`.
fn table(take: &Performance) -> Vec<String> {
    let analysis = TakeAnalysis::of(take.clone(), Settings::default());
    let table = phrases_csv("comp", &PhraseRow::all(&analysis, None));
    let last = |line: &str| line.rsplitn(4, ',').take(3).collect::<Vec<_>>().join(" ");
    table.lines().skip(1).map(last).collect()
}

#[test]
fn a_comp_comes_back_with_where_its_beats_come_from() {
    let before = &*COMP;
    let after = unpack(&pack(before)).unwrap();
    assert_eq!(sources(before), [Some(Tap), None, Some(Hand)]);
    assert_eq!(after.pieces, before.pieces);
    assert_eq!(GridSummary::of(&after), GridSummary::of(before));
    let after_table = table(&after);
    assert_eq!(after_table, table(before));
    for cells in ["0 tap 0", "0 host 0", "1 hand 1"] {
        assert!(after_table.iter().any(|phrase| phrase == cells), "{cells}: {after_table:?}");
    }
}

/// An older Overbar still reads older forms, and reports a comp with stretches as newer.
#[test]
fn only_a_comp_with_stretches_is_in_the_new_form() {
    let version = |take: &Performance| pack(take)[4];
    assert_eq!([version(&played()), version(&by_hand()), version(&COMP)], [1, 2, 3]);
    // All of it on the host's beats: nothing is stored without stretches either.
    let mut of_host = COMP.clone();
    of_host.pieces.iter_mut().for_each(|piece| piece.source = None);
    assert_eq!(version(&of_host), 1);
    assert_eq!(sources(&unpack(&pack(&of_host)).unwrap()), []);
    // With a beat grid of its own, that grid is stored; without it, the stretches again.
    let mut own = COMP.clone();
    let nudged = own.edited_grid(GridEdit::Nudge(SecondSpan(0.01))).unwrap();
    own.set_grid(nudged.as_ref());
    assert_eq!((version(&own), sources(&own)), (3, vec![Some(Hand)]));
    assert!(table(&own).iter().all(|phrase| phrase.contains("hand")));
    let mut back = unpack(&pack(&own)).unwrap();
    let anchors = |take: &Performance| take.own_grid.as_ref().map(|own| own.anchors.clone());
    assert!(anchors(&back) == anchors(&own) && back.pieces == COMP.pieces);
    back.set_grid(None);
    assert_eq!(sources(&back), sources(&COMP));
}

#[test]
fn a_comp_is_recorded_with_where_its_beats_come_from() {
    let mut tracker = DeltaTracker::default();
    let mut without = COMP.clone();
    without.pieces.clear();
    let mut chunks = tracker.next(&without).unwrap().chunks;
    assert!(chunks.iter().all(|chunk| chunk.kind != ChunkKind::Pieces));
    for take in [&*COMP, &without, &*COMP] {
        for new in tracker.next(take).unwrap().chunks {
            assert_eq!(new.kind, ChunkKind::Pieces);
            chunks.retain(|old| old.kind != new.kind);
            chunks.push(new);
        }
        let mut reader = ChunkReader::default();
        for chunk in &chunks {
            reader.add(chunk.kind.number(), &chunk.bytes).unwrap();
        }
        assert_eq!(reader.finish().unwrap().pieces, take.pieces);
    }
}

#[test]
fn a_comp_travels_with_project_and_library() {
    let folder = tempfile::tempdir().unwrap();
    let mut home = Instance::default();
    home.keeps_in(folder.path());
    let id = home.store.add(&mut home.session, COMP.clone(), "comp", Origin::File);
    let saved = home.saves();
    home.store.close(&home.session);
    let library = Library::open(&folder.path().join("library.sqlite")).unwrap().library;
    assert_eq!(library.load(id).unwrap().pieces, COMP.pieces);
    let mut away = Instance::default();
    assert_eq!(away.loads(&saved), Vec::<String>::new());
    assert_eq!(away.session.takes()[0].performance.pieces, COMP.pieces);
}

#[test]
fn parts_of_a_comp_keep_what_is_theirs() {
    let mut instance = Instance::default();
    let Instance { session, store } = &mut instance;
    let id = store.add(session, COMP.clone(), "comp", Origin::File);
    // In the second stretch, which is on the host's beats.
    let second = &COMP.pieces[1];
    let middle = COMP.tempo.second_at(Beat(f64::midpoint(second.from.0, second.to.0))).unwrap();
    let parts = TakeParts::split(store.copy(session, id).unwrap(), &[middle]).unwrap();
    store.replace(session, parts);
    let parts: Vec<_> = session.takes().iter().map(|take| take.performance.clone()).collect();
    assert_eq!(sources(&parts[0]), [Some(Tap), None]);
    assert_eq!(sources(&parts[1]).first(), Some(&None));
    let ids: Vec<_> = session.takes().iter().map(|take| take.id).collect();
    let copies = ids.iter().map(|id| store.copy(session, *id).unwrap()).collect();
    store.replace(session, TakeParts::merge(copies).unwrap());
    assert_eq!(table(&session.takes()[0].performance), table(&COMP));
}

/// The second begins later in the song, on the host's beats.
#[test]
fn takes_on_other_beats_are_merged_with_where_those_come_from() {
    let mut first = take(Host::STEADY, 60, 6.0, 4);
    let nudged = first.edited_grid(GridEdit::Nudge(SecondSpan(0.01))).unwrap();
    first.set_grid(nudged.as_ref());
    let mut second = Performance::default();
    let tempo = Tempo::new(120.0).unwrap();
    second.tempo.push(Knot { second: Second(0.0), beat: Beat(100.0), tempo });
    let at = |beat: f64| Moment { beat: Beat(100.0 + beat), second: Second(beat / 2.0) };
    let note = |beat: f64| Note { on: at(beat), off: None, key: 60, channel: 0, velocity: 0.5 };
    second.soloist = NoteLine::of([0.0, 1.0, 2.0].map(note).to_vec(), Oddities::default());
    let merged = join([&first, &second].into_iter()).unwrap();
    assert_eq!(sources(&merged), [Some(Hand), None]);
    let from = |beat: f64| merged.piece_at(Beat(beat)).unwrap().source;
    assert_eq!((from(99.0), from(100.0)), (Some(Hand), None));
    assert_eq!(unpack(&pack(&merged)).unwrap().pieces, merged.pieces);
    // Where all come from the host, nothing is stored.
    first.set_grid(None);
    assert_eq!(join([&first, &second].into_iter()).unwrap().pieces, []);
}

#[test]
fn stretches_that_cannot_be_are_an_error() {
    let body = |json: &str| {
        let mut reader = ChunkReader::default();
        reader.add(ChunkKind::Pieces.number(), json.as_bytes())
    };
    let good = serde_json::to_string(&COMP.pieces).unwrap();
    assert!(body(&good).is_ok());
    let one =
        r#"{"from":0,"to":4,"source":"tap","anchors":4,"spread":0.01,"bridges":[],"about":false}"#;
    assert!(body(&format!("[{one}]")).is_ok());
    let later = one.replace(r#""from":0"#, r#""from":3"#);
    for wrong in [
        "[".to_owned(),
        "{}".to_owned(),
        format!("[{later},{one}]"),
        format!("[{}]", one.replace(r#""to":4"#, r#""to":0"#)),
        format!("[{}]", one.replace(r#""to":4"#, r#""to":null"#)),
        format!("[{}]", one.replace("0.01", "-1")),
        format!("[{}]", one.replace("tap", "tip")),
        format!(
            "[{}]",
            one.replace("[]", r#"[{"from":2,"to":1,"bridged":true,"count_in_doubt":false}]"#)
        ),
    ] {
        assert!(matches!(body(&wrong), Err(PackError::Damaged(_))), "{wrong}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn damage_of_a_comp_is_an_error_or_does_not_matter(at in 0_usize..100_000, flip in 1_u8..) {
        let mut bytes = pack(&COMP);
        let at = at % bytes.len();
        bytes[at] ^= flip;
        let read = unpack(&bytes);
        prop_assert!(read.map_or(true, |read| read.pieces == COMP.pieces && sources(&read) == sources(&COMP)));
        bytes[at] ^= flip;
        prop_assert!(unpack(&bytes[..at]).is_err());
    }
}
