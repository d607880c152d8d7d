//! Several takes with beat files: files in a folder, matched by the names of the takes.

use overbar_files::audio::ENDINGS;
use overbar_files::load::{list_where, name};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A kind of beat file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum BeatsOf {
    Taps,
    Anchors,
    Band,
}

/// The beat files of a take.
pub(crate) type BeatFiles = BTreeMap<BeatsOf, PathBuf>;

impl BeatsOf {
    /// The user's word for it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Taps => "taps",
            Self::Anchors => "anchors",
            Self::Band => "band",
        }
    }

    /// Possible endings after the name of the take, longer ones before those they contain.
    fn endings(self) -> Vec<String> {
        let own = |endings: &[&str]| endings.iter().map(|&ending| ending.to_owned()).collect();
        match self {
            Self::Taps => own(&["mid", "midi"]),
            Self::Anchors => own(&["anchors.json", "json"]),
            Self::Band => {
                let of_bands = ENDINGS.iter().map(|ending| format!("band.{ending}"));
                of_bands.chain(own(&ENDINGS)).collect()
            }
        }
    }

    /// Possible file names for a take.
    fn called(self, take: &str) -> String {
        match self {
            Self::Taps => format!("{take}.mid or {take}.midi"),
            Self::Anchors => format!("{take}.anchors.json or {take}.json"),
            Self::Band => format!("{take}.wav, or .flac, .aiff, .mp3 or .ogg"),
        }
    }
}

/// The beat file in the folder for each take that has one. It is never the take itself.
///
/// # Errors
/// That there is none, or that a file could belong to several takes.
pub(super) fn pair(
    folder: &Path,
    kind: BeatsOf,
    takes: &[PathBuf],
) -> Result<BTreeMap<PathBuf, PathBuf>, String> {
    let (files, wrong) = list_where(folder, |path| path.is_file())?;
    if let Some(wrong) = wrong.into_iter().next() {
        return Err(wrong);
    }
    let endings = kind.endings();
    let mut by_name: BTreeMap<(String, &str), &PathBuf> = BTreeMap::new();
    for file in &files {
        for ending in endings.iter().map(String::as_str) {
            by_name.extend(stem(file, ending).map(|of| ((of, ending), file)));
        }
    }
    let (mut pairs, mut owners) = (BTreeMap::new(), BTreeMap::new());
    for take in takes {
        let of_take = |ending: &String| {
            let file = by_name.get(&(name(take), ending.as_str())).copied();
            file.filter(|file| !is_same(file, take))
        };
        let Some(file) = endings.iter().find_map(of_take) else { continue };
        let owner: &PathBuf = owners.entry(file).or_insert(take);
        if owner.parent() != take.parent() {
            let [file, one, other] = [file, owner, take].map(|path| path.display());
            return Err(format!(
                "{file}: is it of {one} or of {other}? Give these takes different names"
            ));
        }
        pairs.insert(take.clone(), file.clone());
    }
    match takes.first().filter(|_| pairs.is_empty()) {
        Some(first) => {
            let (called, what) = (kind.called(&name(first)), kind.word());
            let (folder, first) = (folder.display(), first.display());
            Err(format!("{folder}: no {what} of these takes: for {first}, {called}"))
        }
        None => Ok(pairs),
    }
}

/// The name of the take that a file with this ending belongs to, ignoring the case of the ending.
fn stem(file: &Path, ending: &str) -> Option<String> {
    let called = file.file_name()?.to_string_lossy();
    let at = called.len().checked_sub(ending.len() + 1)?;
    let (of, rest) = (called.get(..at)?, called.get(at..)?.strip_prefix('.')?);
    rest.eq_ignore_ascii_case(ending).then(|| of.to_owned())
}

/// All beat files of any take.
///
/// # Errors
/// That two files would each be the other's beat file.
pub(crate) fn beat_files(
    beats: &BTreeMap<PathBuf, BeatFiles>,
) -> Result<BTreeSet<PathBuf>, String> {
    let pairs = beats.iter().flat_map(|(take, files)| files.values().map(move |file| (take, file)));
    let pairs: BTreeSet<_> = pairs.map(|(take, file)| (canonical(take), canonical(file))).collect();
    let is_both =
        |(take, file): &&(PathBuf, PathBuf)| pairs.contains(&(file.clone(), take.clone()));
    match pairs.iter().find(is_both) {
        Some((one, other)) => {
            let [of, one, other] = [name(one).into(), one.clone(), other.clone()];
            let [of, one, other] = [&of, &one, &other].map(|path: &PathBuf| path.display());
            Err(format!("{one}, {other}: which is the take? Call its band {of}.band.wav"))
        }
        None => Ok(pairs.into_iter().map(|(_, file)| file).collect()),
    }
}

/// The canonical path of a file.
pub(crate) fn canonical(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_owned())
}

fn is_same(one: &Path, other: &Path) -> bool {
    one.canonicalize().ok().zip(other.canonicalize().ok()).is_some_and(|(one, other)| one == other)
}
