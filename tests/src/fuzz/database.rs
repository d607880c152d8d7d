//! The library's file with wrong bytes anywhere: it is opened or set aside, and a take loads only as it was
//! stored.

use crate::{live, practice};
use overbar_core::take::TakeId;
use overbar_library::merge::StoredTake;
use overbar_library::packed::pack;
use overbar_library::{Labels, Library, LibraryError, Origin, Query, Stamp, TakeState};
use rusqlite::Connection;
use std::path::PathBuf;
use std::sync::LazyLock;

/// The contents of the file. Small pages, so that damage hits every kind.
static HERE: LazyLock<(Vec<StoredTake>, Vec<u8>)> = LazyLock::new(|| {
    let mut host = crate::host::ClapRig::linked().expect("the linked plugin");
    let mut song = practice::takes()[1].song.clone();
    let mut takes = Vec::new();
    for id in 1..=3_u8 {
        song.notes.truncate(40 - 10 * usize::from(id));
        live::play(&mut host, &song, &mut std::iter::repeat(512));
        let played = live::takes(&mut host).pop().expect("a take");
        takes.push(StoredTake {
            id: TakeId(u128::from(id)),
            began: Stamp(i64::from(id)),
            origin: Origin::Played,
            state: TakeState::Finished,
            labels: Labels::default(),
            packed: pack(&played).into(),
        });
    }
    let folder = Folder::new();
    let file = folder.0.join("library.sqlite");
    let mut library = Library::open(&file).expect("a new library").library;
    library.put_all(&takes).expect("takes of our own");
    drop(library);
    let small = folder.0.join("small.sqlite");
    let library = Connection::open(&file).expect("the library's file");
    library.pragma_update(None, "journal_mode", "DELETE").expect("no one else has it open");
    library.pragma_update(None, "page_size", 512).expect("a size that can be");
    library.execute("VACUUM INTO ?", [small.to_string_lossy()]).expect("room for a copy");
    (takes, std::fs::read(small).expect("the copy"))
});

/// A temporary folder.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Self {
        let name = format!("overbar-fuzz-{:x}", fastrand::u64(..));
        let folder = std::env::temp_dir().join(name);
        std::fs::create_dir(&folder).expect("room for a folder");
        Self(folder)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        drop(std::fs::remove_dir_all(&self.0));
    }
}

pub fn seeds() -> Vec<Vec<u8>> {
    vec![HERE.1.clone()]
}

pub fn read(input: &[u8]) {
    let folder = Folder::new();
    let file = folder.0.join("library.sqlite");
    std::fs::write(&file, input).expect("room for a file");
    let library = match Library::open(&file) {
        Ok(opened) => opened.library,
        Err(LibraryError::Newer { .. }) => return,
        Err(other) => panic!("{other}"),
    };
    drop(library.list(&Query::default()));
    for take in &HERE.0 {
        if let Ok(loaded) = library.load(take.id)
            && !loaded.is_silent()
        {
            assert_eq!(pack(&loaded), *take.packed, "take {}", take.id);
        }
    }
}
