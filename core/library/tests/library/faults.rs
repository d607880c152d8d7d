//! Full disks, read-only folders, and locked, damaged, newer or missing files: a clear message, and
//! nothing in memory is lost.

use crate::invented::{Host, rename, take};
use crate::recording::{same, until};
use overbar_core::take::Take;
use overbar_library::delta::DeltaTracker;
use overbar_library::recorder::Recorder;
use overbar_library::{
    Health, Library, LibraryError, Notice, Origin, Query, Stamp, TakeHeader, WriterLock,
    new_take_id,
};
use overbar_testkit::skipped;
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

pub fn folder() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.sqlite");
    (folder, path)
}

pub fn a_take(notes: usize, seed: u64) -> Take {
    Take::new(new_take_id(), take(Host::STEADY, notes, 6.0, seed))
}

/// Records finished takes and waits for the writer.
pub fn record(path: &Path, takes: &[Take]) {
    Recorder::start(path.to_owned()).unwrap().close(takes, None);
}

fn mentions(health: &Health, word: &str) -> bool {
    matches!(health, Health::Behind(why) if why.contains(word))
}

#[test]
fn a_full_disk_keeps_its_takes_and_gets_the_rest_later() {
    let (_folder, path) = folder();
    let mut library = Library::open(&path).unwrap().library;
    let owner = WriterLock::new(&path);
    let take = a_take(2_000, 1);
    let start = TakeHeader { id: take.id, began: Stamp(0), origin: Origin::Played };
    library.begin_take(&start, &owner).unwrap();
    let delta = DeltaTracker::default().next(&take.performance).unwrap();
    library.limit_growth(20_000).unwrap();
    let error = library.append(take.id, &delta, &owner).unwrap_err();
    assert!(matches!(error, LibraryError::Full) && error.may_pass());
    assert!(library.load(take.id).unwrap().is_silent(), "there whole or not at all");
    library.limit_growth(1 << 30).unwrap();
    library.append(take.id, &delta, &owner).unwrap();
    assert!(same(&library.load(take.id).unwrap(), &take.performance));
}

#[test]
fn a_recorder_waits_for_space_on_a_full_disk() {
    let disk = tempfile::tempdir().unwrap();
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=400k", "tmpfs"])
        .arg(disk.path())
        .stderr(Stdio::null())
        .status();
    if !mounted.is_ok_and(|status| status.success()) {
        skipped("a recorder on a full disk: only root can make a small disk here");
        return;
    }
    let path = disk.path().join("library.sqlite");
    let ballast = disk.path().join("ballast");
    let kept = a_take(100, 1);
    record(&path, std::slice::from_ref(&kept));
    // Fills the remaining space.
    let filled = fs::write(&ballast, vec![1; 400 << 10]);
    let mut recorder = Recorder::start(path.clone()).unwrap();
    let take = a_take(3_000, 2);
    recorder.record(std::slice::from_ref(&take), None);
    until(|| mentions(&recorder.health(), "disk is full"));
    let notices = recorder.notices();
    fs::remove_file(&ballast).unwrap();
    until(|| recorder.health() == Health::Well);
    drop(recorder);
    let library = Library::open(&path).unwrap().library;
    let both = [&kept, &take].map(|t| library.load(t.id).is_ok_and(|l| same(&l, &t.performance)));
    drop(library);
    Command::new("umount").arg("-l").arg(disk.path()).status().unwrap();
    assert!(filled.is_err());
    assert_eq!(notices.len(), 1, "{notices:?}");
    assert_eq!(both, [true, true]);
}

#[test]
fn a_locked_library_is_retried() {
    let (_folder, path) = folder();
    record(&path, &[a_take(20, 1)]);
    let other = Connection::open(&path).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let mut library = Library::open(&path).unwrap().library;
    let id = library.list(&Query::default()).unwrap().rows[0].id;
    let error = rename(&mut library, id, "new").unwrap_err();
    assert!(matches!(error, LibraryError::Busy) && error.may_pass());
    let mut recorder = Recorder::start(path.clone()).unwrap();
    let take = a_take(50, 2);
    recorder.record(std::slice::from_ref(&take), None);
    until(|| mentions(&recorder.health(), "Another program"));
    other.execute_batch("ROLLBACK").unwrap();
    until(|| recorder.health() == Health::Well);
    assert!(same(&library.load(take.id).unwrap(), &take.performance));
    rename(&mut library, id, "new").unwrap();
}

#[test]
fn a_read_only_folder_is_reported_and_playing_continues() {
    let folder = tempfile::tempdir().unwrap();
    let mut host = Command::new(env!("CARGO_BIN_EXE_overbar-library-player"));
    host.arg(folder.path()).stdout(Stdio::piped());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).unwrap();
        if fs::write(folder.path().join("probe"), b"").is_ok() {
            // Root can write anywhere, but `nobody` cannot.
            fs::remove_file(folder.path().join("probe")).unwrap();
            std::os::unix::process::CommandExt::uid(&mut host, 65_534);
        }
    }
    let Ok(mut host) = host.spawn() else {
        skipped("a folder that cannot be written: no other user can start the player here");
        return;
    };
    let lines = std::io::BufReader::new(host.stdout.take().unwrap());
    let lines = std::io::BufRead::lines(lines).map_while(Result::ok);
    let (mut notes, mut notices) = (0, Vec::new());
    for line in lines {
        match line.strip_prefix("notice ") {
            Some(notice) => notices.push(notice.to_owned()),
            None => notes += 1,
        }
        if notes > 100 && !notices.is_empty() {
            break;
        }
    }
    host.kill().unwrap();
    host.wait().unwrap();
    assert!(notices[0].starts_with("Couldn't open the library"), "{notices:?}");
    let nowhere = folder.path().join("file");
    #[cfg(unix)]
    fs::set_permissions(folder.path(), std::os::unix::fs::PermissionsExt::from_mode(0o755))
        .unwrap();
    fs::write(&nowhere, b"no folder").unwrap();
    let error = Library::open(&nowhere.join("library.sqlite")).unwrap_err();
    assert!(matches!(error, LibraryError::Unreachable { .. }), "{error}");
}

#[test]
fn a_file_that_is_not_a_library_is_set_aside() {
    let garbage: Vec<u8> = (0..50_000).map(|_| fastrand::u8(..)).collect();
    let (_other_folder, other) = folder();
    Connection::open(&other).unwrap().execute_batch("CREATE TABLE mail (body TEXT)").unwrap();
    for content in [garbage, b"a letter".repeat(200), fs::read(other).unwrap()] {
        let (_folder, path) = folder();
        fs::write(&path, &content).unwrap();
        let opened = Library::open(&path).unwrap();
        let [Notice::SetAside { to, .. }] = &opened.notices[..] else {
            panic!("{:?}", opened.notices)
        };
        assert_eq!(fs::read(to).unwrap(), content, "never deleted");
        assert!(to.file_name().unwrap().to_string_lossy().starts_with("library.sqlite-damaged-20"));
        assert_eq!(opened.library.list(&Query::default()).unwrap().of, 0);
        record(&path, &[a_take(20, 1)]);
        assert!(Library::open(&path).unwrap().notices.is_empty());
    }
    let (_folder, path) = folder();
    fs::write(&path, b"").unwrap();
    assert!(Library::open(&path).unwrap().notices.is_empty(), "an empty file is a new one");
}

#[test]
fn damage_found_while_playing_loses_nothing_in_memory() {
    let (_folder, path) = folder();
    let takes = [a_take(2_000, 1), a_take(2_000, 2)];
    let mut recorder = Recorder::start(path.clone()).unwrap();
    recorder.record(&takes, None);
    until(|| {
        Library::open(&path).is_ok_and(|o| o.library.list(&Query::default()).unwrap().of == 2)
    });
    // Overwrites every page but the first while the writer runs.
    let library = Connection::open(&path).unwrap();
    library.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).unwrap();
    drop(library);
    let mut bytes = fs::read(&path).unwrap();
    bytes[4_096..].fill(0xa5);
    fs::write(&path, &bytes).unwrap();
    let more = [takes[0].clone(), takes[1].clone(), a_take(2_000, 3)];
    recorder.record(&more, None);
    until(|| !recorder.notices().is_empty() || recorder.health() != Health::Well);
    until(|| recorder.health() == Health::Well);
    recorder.record(&more, None);
    drop(recorder);
    let library = Library::open(&path).unwrap().library;
    for take in &more {
        assert!(same(&library.load(take.id).unwrap(), &take.performance));
    }
    let beside = fs::read_dir(path.parent().unwrap()).unwrap().flatten();
    let aside = beside.filter(|f| f.file_name().to_string_lossy().contains("-damaged-"));
    assert!(aside.count() >= 1);
}

#[test]
fn a_newer_library_is_left_alone() {
    let (_folder, path) = folder();
    record(&path, &[a_take(20, 1)]);
    let newer = Connection::open(&path).unwrap();
    newer.pragma_update(None, "user_version", 99).unwrap();
    drop(newer);
    let before = fs::read(&path).unwrap();
    let error = Library::open(&path).unwrap_err();
    assert!(matches!(error, LibraryError::Newer { version: 99 }), "{error}");
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn a_missing_file_is_rewritten() {
    let (folder, path) = folder();
    let takes = [a_take(100, 1), a_take(100, 2)];
    let mut recorder = Recorder::start(path.clone()).unwrap();
    recorder.record(&takes[..1], None);
    until(|| {
        Library::open(&path).is_ok_and(|o| o.library.list(&Query::default()).unwrap().of == 1)
    });
    for file in fs::read_dir(folder.path()).unwrap().flatten().filter(|f| f.path().is_file()) {
        fs::remove_file(file.path()).unwrap();
    }
    until(|| path.exists());
    recorder.close(&takes, None);
    let library = Library::open(&path).unwrap().library;
    for take in &takes {
        assert!(same(&library.load(take.id).unwrap(), &take.performance));
    }
}
