use super::*;
use crate::input::event::{NoteOff, NoteOn};
use crate::quantization::PositionClass;
use crate::session::song_event::SongEvent;
use crate::take::Take;
use crate::time::Second;
use crate::time::transport::{NoGrid, TransportPoint};

mod own_beat;
mod passes;

/// A host at 120 BPM: half a second a beat.
struct Host {
    session: Session,
    at: f64,
    point: TransportPoint,
}

impl Host {
    fn new() -> Self {
        let point =
            TransportPoint { tempo: Some(120.0), metre: Some((4, 4)), ..Default::default() };
        Self { session: Session::default(), at: 0.0, point }
    }

    /// Reports the transport at second `at`: playing at `beat`, or stopped.
    fn tell(&mut self, at: f64, rolling: bool, beat: f64) {
        let before = self.point.at;
        self.point = TransportPoint {
            at: Second(at),
            block_before: Some(before),
            beat: Some(beat),
            rolling,
            ..self.point
        };
        self.at = at;
        self.session.push(Event::Transport(self.point));
    }

    fn on(&mut self, at: f64, key: u8) {
        let beat = self.point.beat.map(|b| Beat(b + (at - self.point.at.0) * 2.0));
        let beat = beat.filter(|_| self.point.rolling);
        let (key, channel) = (Some(key), Some(0));
        let on = NoteOn { at: Second(at), beat, key, channel, velocity: 0.8 };
        self.session.push(Event::On(on));
    }

    fn off(&mut self, at: f64, key: u8) {
        let off = NoteOff { at: Second(at), beat: None, key: Some(key), channel: Some(0) };
        self.session.push(Event::Off(off));
    }

    fn note(&mut self, at: f64, length: f64, key: u8) {
        self.on(at, key);
        self.off(at + length, key);
    }
}

fn beats(take: &Take) -> Vec<f64> {
    take.performance.soloist.notes().iter().map(|n| (n.on.beat.0 * 1e6).round() / 1e6).collect()
}

#[test]
fn a_phrase_counts_from_its_first_note_on() {
    let mut host = Host::new();
    host.tell(0.0, true, 0.0);
    host.on(0.25, 60);
    let snapshot = host.session.snapshot();
    assert_eq!((snapshot.take, snapshot.figures.phrases), (1, 1));
    assert_eq!(snapshot.phrases[0].entry.class, PositionClass::And);
    assert!(snapshot.phrases[0].open);
    assert_eq!(snapshot.figures.off_beat_entries.count, 1);
    assert_eq!(snapshot.grid, GridState::Rolling);
}

#[test]
fn each_pass_with_notes_is_a_take() {
    let mut host = Host::new();
    host.tell(0.0, true, 0.0);
    host.tell(1.0, false, 2.0);
    assert_eq!(host.session.takes().len(), 0, "nothing was played");
    host.tell(2.0, true, 0.0);
    host.note(2.5, 0.2, 60);
    host.tell(3.0, false, 2.0);
    host.tell(4.0, true, 8.0);
    host.note(4.5, 0.2, 62);
    // A locate during playback.
    host.tell(5.0, true, 0.0);
    host.note(5.25, 0.2, 64);
    assert_eq!(host.session.takes().len(), 2);
    assert_eq!(host.session.snapshot().take, 3);
    host.session.finish();
    let takes: Vec<_> = host.session.takes().iter().map(beats).collect();
    assert_eq!(takes, [vec![1.0], vec![9.0], vec![0.5]]);
    let jumped = SongEvent::Jumped { at: Second(5.0), from: Beat(10.0), to: Beat(0.0) };
    assert!(host.session.events().newest().any(|e| *e == jumped));
}

#[test]
fn a_note_held_over_a_stop_or_jump_is_cut_there_and_its_note_off_is_no_stray() {
    let mut host = Host::new();
    host.tell(0.0, true, 0.0);
    host.on(0.5, 60);
    host.tell(1.0, false, 2.0);
    host.off(1.2, 60);
    host.tell(2.0, true, 0.0);
    host.on(2.5, 62);
    host.tell(3.0, true, 16.0);
    host.off(3.1, 62);
    host.session.finish();
    for take in host.session.takes() {
        let note = take.performance.soloist.notes()[0];
        assert_eq!((note.off.unwrap().second - note.on.second).0, 0.5);
        assert_eq!(take.performance.soloist.oddities().stray_off, 0);
    }
    assert_eq!(host.session.loose().soloist.oddities().stray_off, 0);
    assert_eq!(host.session.takes()[0].performance.soloist.oddities().cut_at_stop, 1);
    assert_eq!(host.session.takes()[1].performance.soloist.oddities().cut_at_jump, 1);
}

#[test]
fn without_a_beat_grid_notes_are_kept_but_not_analysed() {
    let mut host = Host::new();
    host.session.push(Event::Transport(TransportPoint::default()));
    let on = NoteOn { at: Second(0.5), beat: None, key: Some(60), channel: Some(0), velocity: 0.8 };
    host.session.push(Event::On(on));
    let snapshot = host.session.snapshot();
    assert_eq!(snapshot.grid, GridState::Missing(NoGrid::NoTransport));
    assert_eq!((snapshot.notes_without_grid, snapshot.figures.phrases), (1, 0));
    assert_eq!(host.session.loose().soloist.notes().len(), 1);
    // Playback starts: the take counts, and the earlier notes stay.
    host.tell(1.0, true, 0.0);
    host.note(1.5, 0.2, 60);
    let snapshot = host.session.snapshot();
    assert_eq!((snapshot.notes_without_grid, snapshot.figures.phrases), (1, 1));
}

#[test]
fn the_first_note_after_a_loop_may_come_in_the_last_block_before_it() {
    let mut host = Host::new();
    host.point.cycle = Some((4.0, 8.0));
    host.tell(0.0, true, 4.0);
    host.note(0.5, 0.2, 60);
    host.tell(1.9, true, 7.8);
    // Just before the loop's end at second 2.
    host.on(1.999_95, 62);
    host.tell(2.1, true, 4.2);
    host.off(2.2, 62);
    host.note(2.5, 0.2, 64);
    host.session.finish();
    let takes: Vec<_> = host.session.takes().iter().map(beats).collect();
    assert_eq!(takes, [vec![5.0], vec![4.0, 5.0]]);
    let off = host.session.takes()[1].performance.soloist.notes()[0].off.unwrap();
    assert!((off.second.0 - 2.2).abs() < 1e-9);
    let ones = TakeAnalysis::of(host.session.takes()[1].performance.clone(), Settings::default())
        .phrases()
        .to_vec();
    assert_eq!(ones[0].entry.class, PositionClass::One);
}

#[test]
fn a_note_at_a_loops_end_stays_where_it_is_when_the_host_does_not_loop() {
    let mut host = Host::new();
    host.point.cycle = Some((4.0, 8.0));
    host.tell(0.0, true, 4.0);
    host.on(2.0, 60);
    host.point.cycle = None;
    host.tell(2.1, true, 8.2);
    host.off(2.2, 60);
    assert_eq!(beats(host.session.current().unwrap()), [8.0]);
}

#[test]
fn a_metre_change_reported_late_is_still_placed_right() {
    let mut host = Host::new();
    host.tell(0.0, true, 0.0);
    // The bar in 6/8 begins at beat 4, inside the block; the host reports it at 4.2.
    host.tell(1.95, true, 3.9);
    host.note(2.0, 0.05, 60);
    assert_eq!(host.session.snapshot().phrases[0].entry.pulse_length.0, 1.0);
    host.point.metre = Some((6, 8));
    host.tell(2.1, true, 4.2);
    let entry = host.session.snapshot().phrases[0].entry;
    assert_eq!((entry.bar, entry.pulse, entry.class), (2, 1, PositionClass::One));
    assert_eq!(entry.pulse_length.0, 1.5);
}

#[test]
fn a_tempo_change_reported_late_is_still_placed_right() {
    let mut host = Host::new();
    host.tell(0.0, true, 0.0);
    // 60 BPM from second 1 on: beat 3 is at second 2, though it was stamped as 4.
    host.on(2.0, 60);
    host.point.tempo = Some(60.0);
    host.point.at = Second(0.5);
    host.tell(2.5, true, 3.5);
    let take = host.session.current().unwrap();
    assert!((take.performance.soloist.notes()[0].on.beat.0 - 3.0).abs() < 1e-9);
}

#[test]
fn notes_of_other_channels_are_kept_and_used_on_request() {
    let mut host = Host::new();
    host.session.set(Settings {
        hearing: crate::take::settings::Hearing { channel: Some(3), ..Default::default() },
        ..Default::default()
    });
    host.tell(0.0, true, 0.0);
    host.on(0.5, 60);
    let snapshot = host.session.snapshot();
    assert_eq!((snapshot.notes, snapshot.notes_outside, snapshot.figures.phrases), (0, 1, 0));
    host.session.set(Settings::default());
    host.off(1.0, 60);
    let snapshot = host.session.snapshot();
    assert_eq!((snapshot.notes, snapshot.notes_outside, snapshot.figures.phrases), (1, 0, 1));
    assert_eq!(snapshot.oddities.total(), 0);
    assert_eq!(snapshot.phrases[0].seconds.0, 0.5);
}

#[test]
fn changed_settings_apply_to_old_phrases() {
    let mut host = Host::new();
    host.tell(0.0, true, 0.0);
    for bar in 0..5 {
        for step in 0..3_u8 {
            host.note(f64::from(bar) * 2.0 + f64::from(step) * 0.25, 0.2, 60 + step);
        }
    }
    assert_eq!(host.session.snapshot().alerts.len(), 2, "beat one; and short phrases");
    host.session.set(Settings { beat_one_offset: 1, ..Default::default() });
    let snapshot = host.session.snapshot();
    assert_eq!(snapshot.figures.beat_one_entries.count, 0);
    assert!(snapshot.phrases.iter().all(|p| p.entry.pulse == 4));
}

#[test]
fn a_restart_after_an_error_keeps_what_was_played() {
    let mut host = Host::new();
    host.session.push(Event::Transport(TransportPoint::default()));
    host.note(0.1, 0.1, 60);
    host.tell(1.0, true, 0.0);
    host.note(1.5, 0.2, 62);
    host.session.restart();
    assert_eq!(host.session.takes().len(), 1);
    assert_eq!(host.session.loose().soloist.notes().len(), 1);
    // Playback goes on, so it continues before the host reports again.
    host.note(1.9, 0.05, 63);
    assert_eq!(host.session.loose().soloist.notes().len(), 1);
    host.tell(2.0, true, 2.0);
    host.note(2.5, 0.2, 64);
    assert_eq!(host.session.snapshot().take, 2);
}

/// Three passes of one, two and three phrases.
fn three_passes() -> Host {
    let mut host = Host::new();
    for pass in 0..3_u8 {
        let start = f64::from(pass) * 100.0;
        host.tell(start, true, 0.0);
        for phrase in 0..=pass {
            for note in 0..4 {
                let at = start + f64::from(phrase) * 8.0 + f64::from(note) * 0.25;
                host.note(at, 0.2, 60);
            }
        }
        host.tell(start + 50.0, false, 100.0);
    }
    host
}

#[test]
fn an_older_take_can_be_shown_until_playback_starts() {
    let mut host = three_passes();
    let shown = |host: &mut Host| {
        let snapshot = host.session.snapshot();
        (snapshot.take, snapshot.phrases.len())
    };
    assert_eq!(shown(&mut host), (3, 3));
    host.session.look_at(Some(1));
    assert_eq!(shown(&mut host), (1, 1));
    host.session.look_at(Some(9));
    assert_eq!(shown(&mut host), (3, 3), "there is no such take");
    host.session.look_at(Some(2));
    let older = host.session.takes()[..1].to_vec();
    host.session.restore(older);
    assert_eq!(shown(&mut host), (3, 2), "it has another number now");
    host.tell(400.0, true, 0.0);
    assert_eq!(host.session.looking(), Looking::default());
    host.note(400.5, 0.2, 60);
    assert_eq!(shown(&mut host), (5, 1));
}

#[test]
fn listed_takes_are_analysed_one_by_one_and_again_after_a_correction() {
    let mut host = three_passes();
    let phrases = |host: &mut Host| {
        let rows = host.session.snapshot().takes;
        rows.iter().map(|row| row.figures.map(|f| f.phrases)).collect::<Vec<_>>()
    };
    assert_eq!(phrases(&mut host), [None; 3]);
    assert!(host.session.analyse_one());
    assert_eq!(phrases(&mut host), [Some(1), None, None]);
    while host.session.analyse_one() {}
    assert_eq!(phrases(&mut host), [Some(1), Some(2), Some(3)]);
    host.session.correct(2, Second(108.0), Some(false));
    assert_eq!(phrases(&mut host), [Some(1), None, Some(3)]);
    while host.session.analyse_one() {}
    assert_eq!(phrases(&mut host), [Some(1), Some(1), Some(3)]);
    assert_eq!(host.session.snapshot().takes[1].by_hand, 1);
    // The current take is in the list at once.
    host.tell(400.0, true, 0.0);
    host.note(400.5, 0.2, 60);
    host.session.look_at(Some(1));
    let last = *host.session.snapshot().takes.last().unwrap();
    assert!(last.under_way && last.figures.is_some_and(|f| f.phrases == 1), "{last:?}");
}
