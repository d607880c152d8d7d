//! Pairing, case by case.

use super::*;

fn moment(at: f64) -> Moment {
    Moment { beat: Beat(at * 2.0), second: Second(at) }
}

fn on(line: &mut NoteLine, at: f64, key: u8) {
    let event =
        NoteOn { at: Second(at), beat: None, key: Some(key), channel: Some(0), velocity: 0.7 };
    line.note_on(&event, moment(at));
}

fn off(line: &mut NoteLine, at: f64, key: u8) {
    let event = NoteOff { at: Second(at), beat: None, key: Some(key), channel: Some(0) };
    line.note_off(&event, moment(at));
}

fn keys_and_ends(line: &NoteLine) -> Vec<(u8, Option<f64>)> {
    line.notes().iter().map(|n| (n.key, n.off.map(|o| o.second.0))).collect()
}

#[test]
fn legato_overlaps_pair_by_key() {
    let mut line = NoteLine::default();
    on(&mut line, 0.0, 60);
    on(&mut line, 0.5, 62);
    off(&mut line, 0.55, 60);
    off(&mut line, 1.0, 62);
    assert_eq!(keys_and_ends(&line), [(60, Some(0.55)), (62, Some(1.0))]);
    assert_eq!(line.oddities().total(), 0);
}

#[test]
fn a_key_struck_again_ends_the_older_note() {
    let mut line = NoteLine::default();
    on(&mut line, 0.0, 60);
    on(&mut line, 0.5, 60);
    off(&mut line, 1.0, 60);
    assert_eq!(keys_and_ends(&line), [(60, Some(0.5)), (60, Some(1.0))]);
    assert_eq!(line.oddities().repeated_on, 1);
}

#[test]
fn within_one_moment_the_order_of_events_does_not_matter() {
    for off_first in [true, false] {
        let mut line = NoteLine::default();
        on(&mut line, 0.0, 60);
        if off_first {
            off(&mut line, 0.5, 60);
            on(&mut line, 0.5, 60);
        } else {
            on(&mut line, 0.5, 60);
            off(&mut line, 0.5, 60);
        }
        off(&mut line, 1.0, 60);
        assert_eq!(keys_and_ends(&line), [(60, Some(0.5)), (60, Some(1.0))], "{off_first}");
        assert_eq!(line.oddities().total(), 0, "{off_first}");
    }
    for off_first in [true, false] {
        let mut line = NoteLine::default();
        if off_first {
            off(&mut line, 0.5, 64);
            on(&mut line, 0.5, 64);
        } else {
            on(&mut line, 0.5, 64);
            off(&mut line, 0.5, 64);
        }
        assert_eq!(keys_and_ends(&line), [(64, Some(0.5))]);
        assert_eq!(*line.oddities(), Oddities { no_length: 1, ..Oddities::default() });
    }
}

#[test]
fn a_chord_is_in_order_of_pitch_whatever_order_it_came_in() {
    let mut line = NoteLine::default();
    on(&mut line, 0.0, 70);
    for key in [67, 60, 64] {
        on(&mut line, 0.5, key);
    }
    off(&mut line, 1.0, 60);
    assert_eq!(keys_and_ends(&line), [(70, None), (60, Some(1.0)), (64, None), (67, None)]);
}

#[test]
fn missing_and_stray_note_offs_are_counted_and_lose_no_note() {
    let mut line = NoteLine::default();
    off(&mut line, 0.0, 50);
    on(&mut line, 0.1, 60);
    line.cut(Cut::Stop, moment(0.4));
    off(&mut line, 0.5, 60);
    on(&mut line, 0.6, 61);
    line.cut(Cut::Jump, moment(0.7));
    on(&mut line, 0.8, 62);
    line.cut(Cut::End, moment(0.9));
    assert_eq!(keys_and_ends(&line), [(60, Some(0.4)), (61, Some(0.7)), (62, None)]);
    let expected = Oddities {
        stray_off: 1,
        cut_at_stop: 1,
        cut_at_jump: 1,
        never_ended: 1,
        ..Oddities::default()
    };
    assert_eq!(*line.oddities(), expected);
}

#[test]
fn ending_a_performance_is_not_out_of_order() {
    let mut line = NoteLine::default();
    on(&mut line, 1.0, 60);
    off(&mut line, 2.0, 60);
    line.cut(Cut::End, Moment::default());
    assert_eq!(line.oddities().total(), 0);
}

#[test]
fn velocity_zero_wildcards_and_events_out_of_order() {
    let mut line = NoteLine::default();
    on(&mut line, 1.0, 60);
    let zero =
        NoteOn { at: Second(1.2), beat: None, key: Some(60), channel: Some(0), velocity: 0.0 };
    line.note_on(&zero, moment(1.2));
    assert_eq!(keys_and_ends(&line), [(60, Some(1.2))]);
    // Not sounding: it is a new, silent note.
    line.note_on(&zero, moment(1.3));
    assert_eq!(line.notes().len(), 2);
    let wild = NoteOn { key: None, channel: None, velocity: 0.5, ..zero };
    line.note_on(&wild, moment(1.4));
    line.note_off(&NoteOff { at: Second(1.5), beat: None, key: None, channel: None }, moment(1.5));
    assert!(line.notes().iter().all(|n| n.off.is_some()));
    on(&mut line, 0.2, 65);
    assert_eq!(line.notes().last().unwrap().on.second, Second(1.5));
    let odd = line.oddities();
    assert_eq!((odd.velocity_zero_off, odd.wildcard_on, odd.wildcard_off), (1, 1, 1));
    assert_eq!((odd.repeated_on, odd.out_of_order), (1, 1));
}
