//! Which passes are takes: playback by the host, punch-ins, and takes analysed only when over.

use super::*;

/// Eight notes from beat 1 on, in a pass that begins at second `at`.
fn plays_eight(host: &mut Host, at: f64) {
    host.tell(at, true, 0.0);
    for note in 0..8_u8 {
        host.note(at + 0.5 + 0.25 * f64::from(note), 0.2, 60 + note);
    }
    host.tell(at + 4.0, false, 8.0);
}

#[test]
fn playback_by_the_host_is_no_take_unless_asked_for_or_recorded() {
    let mut host = Host::new();
    plays_eight(&mut host, 0.0);
    plays_eight(&mut host, 10.0);
    assert_eq!(host.session.takes().len(), 1);
    let known = host.session.takes()[0].id;
    assert!(
        host.session.events().newest().any(|e| *e == SongEvent::PlayedBack { take: known }),
        "the playback is reported"
    );
    // What is recorded was played, however exactly it matches.
    host.point.recording = true;
    plays_eight(&mut host, 20.0);
    host.point.recording = false;
    assert_eq!(host.session.takes().len(), 2);
    let passes = crate::take::settings::Passes { keep_playback: true, ..Default::default() };
    host.session.set(Settings { passes, ..Default::default() });
    plays_eight(&mut host, 30.0);
    let of: Vec<_> = host.session.takes().iter().map(|take| take.playback_of).collect();
    assert_eq!(of, [None, None, Some(known)]);
}

#[test]
fn with_recorded_passes_only_the_punched_part_is_a_take() {
    let mut host = Host::new();
    let passes = crate::take::settings::Passes { recorded_only: true, ..Default::default() };
    host.session.set(Settings { passes, ..Default::default() });
    // Pre-roll notes are shown but not kept; some hosts report recording already.
    host.point.preroll = true;
    host.tell(0.0, true, 0.0);
    host.note(0.5, 0.2, 60);
    host.point.recording = true;
    host.tell(1.0, true, 2.0);
    host.note(1.2, 0.2, 61);
    assert!(host.session.current().is_none());
    assert!(!host.session.snapshot().phrases.is_empty(), "it is shown all the same");
    host.point.preroll = false;
    host.tell(2.0, true, 4.0);
    host.note(2.5, 0.2, 62);
    host.note(3.0, 0.2, 64);
    assert!(host.session.current().is_some());
    host.point.recording = false;
    host.tell(4.0, true, 8.0);
    host.note(4.5, 0.2, 65);
    host.tell(6.0, false, 12.0);
    let takes: Vec<_> = host.session.takes().iter().map(beats).collect();
    assert_eq!(takes, [vec![5.0, 6.0]]);
}

#[test]
fn analysing_whole_takes_only_gives_the_same_result() {
    let mut hosts = [Host::new(), Host::new()];
    hosts[1].session = Session::of_whole_takes(Settings::default());
    let snapshots = hosts.map(|mut host| {
        host.tell(0.0, true, 0.0);
        for (index, key) in (60..110).enumerate() {
            let at = f64::from(key - 60) * 0.25 + if index > 20 { 1.5 } else { 0.0 };
            host.note(at, 0.2, key);
        }
        host.tell(16.0, true, 32.0);
        host.session.finish();
        host.session.look_at(Some(1));
        host.session.snapshot()
    });
    assert!(snapshots[0].phrases.len() > 1);
    assert_eq!(snapshots[0], snapshots[1]);
}
