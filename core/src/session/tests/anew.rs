//! The take under way analysed anew, in parts.

use super::*;

/// Notes of a line with rests of many lengths, a chord among them here and there.
fn play(host: &mut Host, from: u32, to: u32) {
    for note in from..to {
        let at = f64::from(note) * 0.25 + f64::from(note / 7 + note / 11) * 0.6;
        if note % 8 == 0 {
            host.tell(at, true, at * 2.0);
        }
        let key = 60 + u8::try_from(note * 5 % 17).unwrap();
        if note % 13 == 0 {
            host.note(at, 0.2, key - 9);
        }
        host.note(at, 0.2, key);
    }
}

/// A correction and another setting, with notes that come before the analysis has caught up.
#[test]
fn in_parts_and_at_once_are_the_same() {
    for change in [
        &(|session: &mut Session| {
            let at = session.current().unwrap().performance.heard.notes()[150].on.second;
            session.correct(1, at, Some(true));
        }) as &dyn Fn(&mut Session),
        &|session| session.set(Settings { finer: 0.7, ..Settings::default() }),
        &|session| session.set(Settings { beat_one_offset: 1, ..Settings::default() }),
    ] {
        let (mut at_once, mut in_parts) = (Host::new(), Host::new());
        for host in [&mut at_once, &mut in_parts] {
            play(host, 0, 400);
            let before = host.session.snapshot();
            change(&mut host.session);
            assert!(host.session.is_behind());
            let mut anew = host.session.clone();
            assert_ne!(anew.snapshot(), before);
        }
        let mut played = 400;
        while !in_parts.session.catch_up(7) {
            play(&mut in_parts, played, played + 1);
            played += 1;
        }
        play(&mut at_once, 400, played);
        assert!(!at_once.session.is_behind(), "it is analysed at once where it is asked for");
        assert_eq!(in_parts.session.snapshot(), at_once.session.snapshot());
        assert_eq!(in_parts.session.phrases(), at_once.session.phrases());
        for host in [&mut at_once, &mut in_parts] {
            play(host, played, 600);
        }
        assert_eq!(in_parts.session.phrases(), at_once.session.phrases());
    }
}
