//! Several hosts killed during a take at once.

use overbar_core::take::TakeId;
use overbar_library::packed::GRAIN;
use overbar_library::{Library, Notice, Query, TakeState};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// A note that was played: second and key.
type Played = (f64, u8);

/// Lets a host play, kills it `after` its first note, and returns the notes it had played.
fn play_and_kill(folder: &Path, seed: u64, after: Duration) -> BTreeMap<TakeId, Vec<Played>> {
    let mut host = Command::new(env!("CARGO_BIN_EXE_overbar-library-player"))
        .arg(folder)
        .arg(seed.to_string())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(host.stdout.take().unwrap()).lines();
    let mut heard = vec![lines.next().unwrap().unwrap()];
    let began = Instant::now();
    let listener = std::thread::spawn(move || {
        heard.extend(lines.map_while(Result::ok));
        heard
    });
    std::thread::sleep(after.saturating_sub(began.elapsed()));
    host.kill().unwrap();
    host.wait().unwrap();
    let mut played: BTreeMap<TakeId, Vec<Played>> = BTreeMap::new();
    for line in listener.join().unwrap() {
        // The last line may be cut off.
        let words: Vec<&str> = line.split(' ').collect();
        if let [id, second, key] = words[..]
            && let (Ok(id), Ok(second), Ok(key)) =
                (TakeId::try_from(id.to_owned()), second.parse(), key.parse())
        {
            played.entry(id).or_default().push((second, key));
        }
    }
    played
}

#[test]
fn fifty_killed_hosts_lose_at_most_a_second_each() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.sqlite");
    let mut worst = 0.0_f64;
    let (mut notes, mut left_behind) = (0, 0);
    for round in 0..10 {
        let hosts: Vec<_> = (0..5)
            .map(|number| {
                let folder = folder.path().to_owned();
                let seed = round * 5 + number;
                let after = Duration::from_millis(fastrand::u64(100..1_800));
                std::thread::spawn(move || play_and_kill(&folder, seed, after))
            })
            .collect();
        let played: Vec<_> = hosts.into_iter().map(|host| host.join().unwrap()).collect();
        let opened = Library::open(&path).unwrap();
        for notice in &opened.notices {
            match notice {
                Notice::Recovered { takes } => left_behind += takes,
                other => panic!("{other}"),
            }
        }
        for host in played {
            let killed = host.values().flatten().map(|n| n.0).fold(0.0, f64::max);
            for (id, played) in host {
                notes += played.len();
                let kept = opened.library.load(id);
                let kept = kept.map(|take| take.soloist.notes().to_vec()).unwrap_or_default();
                for (second, key) in played {
                    let near = |n: f64| (n - second).abs() <= GRAIN;
                    if !kept.iter().any(|n| near(n.on.second.0) && n.key == key) {
                        worst = worst.max(killed - second);
                    }
                }
            }
        }
    }
    let library = Library::open(&path).unwrap().library;
    let under_way = Query { state: Some(TakeState::Recording), ..Default::default() };
    assert_eq!(library.list(&under_way).unwrap().of, 0, "every host is gone");
    assert!(left_behind >= 25, "most hosts were killed in mid-take: {left_behind}");
    eprintln!("{notes} notes, {left_behind} takes left behind, at most {worst:.2} s missing");
    assert!(worst <= 1.0, "{worst} s");
}
