//! The beat grid of a take: the host's, one from taps with what goes wrong in taps, and a change that
//! cannot be.

use crate::scenes::{self, Scene, Take};
use crate::soloist::second;
use crate::takes_scenes::{model, scene};
use overbar::panel::state::takes::Detail;
use overbar::view_model::tune::TuneText;
use overbar_core::grid::band::{BandHearing, OnsetStrength};
use overbar_core::grid::follower::follow;
use overbar_core::session::Session;
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, SecondSpan};
use overbar_testkit::band as testkit;
use std::sync::Arc;

pub fn all() -> Vec<Scene> {
    vec![tapped(), host(), between(), impossible(), about(), no_beats(), band()]
}

/// Played loosely without a click: counted in, tapped for some bars, left alone for seven, tapped again, and
/// after a fermata from between two beats on.
fn session() -> Session {
    let mut take = Take::new((4, 4), Settings::default());
    scenes::TWELVE.into_iter().for_each(|(from, to)| take.loose_tune(from, to));
    let mut session = take.heard_until(104.0);
    session.finish();
    let taps = (4..16).map(f64::from).chain((45..80).map(f64::from));
    let after = (0..16).map(|tap| 83.4 + f64::from(tap));
    let taps = taps.chain(after).enumerate().map(|(number, beat)| {
        // A person's taps scatter.
        let off = [0.02, -0.015, 0.03, 0.0, -0.025][number % 5];
        second(beat + off)
    });
    let anchors = follow(taps, Metre::COMMON, SecondSpan(0.0)).anchors().unwrap();
    let by_hand = anchors.with_beat_at(second(12.1)).unwrap();
    let take = session.takes()[0].id;
    assert!(session.set_grid(take, Some(&by_hand)));
    session
}

fn grid_scene(name: &'static str, mut session: Session, place: Option<(Second, usize)>) -> Scene {
    let model = model(&mut session, TuneText::default(), "Without a click");
    let mut scene = scene(name, session, Detail::BeatGrid, model);
    if let Some((at, note)) = place {
        scene.takes.grid.choose(at, Some(note));
    }
    scene
}

/// The note at this index.
fn note(session: &Session, index: usize) -> (Second, usize) {
    (session.takes()[0].performance.soloist.notes()[index].on.second, index)
}

pub fn tapped() -> Scene {
    let session = session();
    let chosen = note(&session, 3);
    grid_scene("beat_grid", session, Some(chosen))
}

/// As the host gave it; nothing is chosen.
fn host() -> Scene {
    grid_scene("beat_grid_host", scenes::stopped_session(), None)
}

/// The band was heard beside it, which strikes on beats that the host's bars miss.
fn band() -> Scene {
    let session = scenes::stopped_session();
    let take = session.takes().last().unwrap();
    let beats: Vec<f64> = (0..120).map(|beat| 0.21 + second(f64::from(beat)).0 * 0.97).collect();
    let rate = 24_000;
    let mut hearing = BandHearing::new(rate).unwrap();
    let (first, mut hops) = (hearing.first_hop(), Vec::new());
    hearing.push(&testkit::band(&beats, rate, |_| testkit::Plays::Time), |hop| hops.push(hop));
    let heard = (take.id, Arc::new(OnsetStrength::of(first, &hops)));
    let mut scene = grid_scene("beat_grid_band", session, None);
    scene.model.band_heard = vec![heard];
    scene
}

/// The bars between two places are to be typed.
fn between() -> Scene {
    let session = session();
    let (from, to) = (note(&session, 2).0, note(&session, 12));
    let mut scene = grid_scene("beat_grid_between", session, Some(to));
    scene.takes.grid.between = Some(from);
    scene
}

/// A tempo that nobody plays was asked for.
fn impossible() -> Scene {
    let mut session = session();
    let take = session.takes()[0].clone();
    let double = take.performance.edited_grid(GridEdit::DoubleTempo).unwrap();
    session.set_grid(take.id, double.as_ref());
    let edited = &session.takes()[0].performance;
    let why = edited.edited_grid(GridEdit::DoubleTempo).unwrap_err();
    let mut scene = grid_scene("beat_grid_impossible", session, None);
    let why = overbar_library::LibraryError::Grid(why).to_string();
    scene.model.grid_fault = Some((take.id, why));
    scene
}

/// The phrases of a take whose bars are approximate.
fn about() -> Scene {
    let mut session = session();
    session.choose(Some(0));
    let scene = grid_scene("beat_grid_about", session, None);
    let mut takes = scene.takes.clone();
    takes.detail = Detail::Phrases;
    Scene { takes, ..scene }
}

/// Tapped to, and then put back to a host that gave no tempo.
fn no_beats() -> Scene {
    let mut session = session();
    let mut takes = session.takes().to_vec();
    let performance = takes[0].performance_mut();
    if let Some(own) = &mut performance.own_grid {
        own.host_tempo = overbar_core::time::tempo_map::TempoMap::default();
    }
    performance.set_grid(None);
    session.rearrange(|all| *all = takes);
    grid_scene("beat_grid_none", session, None)
}
