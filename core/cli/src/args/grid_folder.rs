//! Takes with a file of beats each: in a folder, by the names of the takes.

use overbar_files::load::{list_where, name};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What tells the beats of a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum BeatsOf {
    Anchors,
    Taps,
}

impl BeatsOf {
    /// What a user calls it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Anchors => "anchors",
            Self::Taps => "taps",
        }
    }

    /// What stands after the name of the take. The first goes before the others.
    fn endings(self) -> [&'static str; 2] {
        match self {
            Self::Anchors => ["anchors.json", "json"],
            Self::Taps => ["mid", "midi"],
        }
    }
}

/// The file of the folder for each take that has one there. It is never the take itself.
///
/// # Errors
/// That there is none at all, or that it is not clear whose a file is.
pub(super) fn pair(
    folder: &Path,
    kind: BeatsOf,
    takes: &[PathBuf],
) -> Result<BTreeMap<PathBuf, PathBuf>, String> {
    let (files, wrong) = list_where(folder, |path| path.is_file())?;
    if let Some(wrong) = wrong.into_iter().next() {
        return Err(wrong);
    }
    let mut by_name: BTreeMap<(String, &str), &PathBuf> = BTreeMap::new();
    for file in &files {
        for ending in kind.endings() {
            by_name.extend(stem(file, ending).map(|of| ((of, ending), file)));
        }
    }
    let (mut pairs, mut owners) = (BTreeMap::new(), BTreeMap::new());
    for take in takes {
        let of_take = |ending| {
            let file = by_name.get(&(name(take), ending)).copied();
            file.filter(|file| !is_same(file, take))
        };
        let Some(file) = kind.endings().into_iter().find_map(of_take) else { continue };
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
            let (of, [one, other]) = (name(first), kind.endings());
            let (folder, first, what) = (folder.display(), first.display(), kind.word());
            Err(format!(
                "{folder}: no {what} of these takes: for {first}, {of}.{one} or {of}.{other}"
            ))
        }
        None => Ok(pairs),
    }
}

/// The name of the take that a file with this ending is of, whatever the case of the ending.
fn stem(file: &Path, ending: &str) -> Option<String> {
    let called = file.file_name()?.to_string_lossy();
    let at = called.len().checked_sub(ending.len() + 1)?;
    let (of, rest) = (called.get(..at)?, called.get(at..)?.strip_prefix('.')?);
    rest.eq_ignore_ascii_case(ending).then(|| of.to_owned())
}

fn is_same(one: &Path, other: &Path) -> bool {
    one.canonicalize().ok().zip(other.canonicalize().ok()).is_some_and(|(one, other)| one == other)
}
