//! The order of a crate's folders, read from its source: which file uses which, and whether an import
//! runs against the list of folders in `lib.rs`.
//!
//! A folder's `mod.rs` (or the file `x.rs` of a folder `x/`) and the files below it are one module to
//! Rust. Tests are left out: a test may feed a folder with what later ones make.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A file's module path, such as `["melody", "voices"]`.
type Module = Vec<String>;

/// Every file of a crate, without tests and comments.
pub struct Sources(BTreeMap<Module, String>);

/// Every Rust file below `source`.
///
/// # Panics
/// If they cannot be read.
#[must_use]
pub fn all_files(source: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(source).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(all_files(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    found
}

/// The folders of `source` in the order in which its `lib.rs` numbers them.
///
/// # Panics
/// If it cannot be read.
#[must_use]
pub fn listed(source: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(source.join("lib.rs")).unwrap();
    let numbered = |line: &str| {
        let (number, rest) = line.strip_prefix("//! ")?.split_once(". [`")?;
        number.parse::<u32>().ok()?;
        Some(rest.split_once('`')?.0.to_owned())
    };
    text.lines().filter_map(numbered).collect()
}

impl Sources {
    /// The files below `source`.
    ///
    /// # Panics
    /// If they cannot be read.
    #[must_use]
    pub fn of(source: &Path) -> Self {
        let code = |path: PathBuf| {
            let text = std::fs::read_to_string(&path).unwrap();
            (module_of(path.strip_prefix(source).unwrap()), plain(&text))
        };
        let files = all_files(source).into_iter().map(code);
        Self(files.filter(|(module, _)| !is_test(module)).collect())
    }

    /// Imports that run against `order`, in words, and how many imports there are in all.
    ///
    /// # Panics
    /// If a file is in no folder of `order`.
    #[must_use]
    pub fn upward(&self, order: &[String]) -> (Vec<String>, usize) {
        let rank = |module: &[String]| order.iter().position(|folder| *folder == module[0]);
        let (mut upward, mut seen) = (Vec::new(), 0);
        let inside = |module: &Module| module != &["lib"] && module != &["main"];
        for (module, text) in self.0.iter().filter(|(module, _)| inside(module)) {
            let own = rank(module).unwrap_or_else(|| panic!("{module:?} is in no folder listed"));
            for used in self.imports(module, text) {
                seen += 1;
                if rank(&used).is_none_or(|used| used > own) {
                    upward.push(format!("{} uses {}", module.join("::"), used.join("::")));
                }
            }
        }
        (upward, seen)
    }

    /// The files that import each other in a circle, or that use such a file, with what they use.
    #[must_use]
    pub fn circles(&self) -> BTreeMap<Module, BTreeSet<Module>> {
        let used = |(module, text): (&Module, &String)| {
            let mut used = self.imports(module, text);
            used.retain(|other| !module.starts_with(other));
            (module.clone(), used)
        };
        let mut open: BTreeMap<Module, BTreeSet<Module>> = self.0.iter().map(used).collect();
        // A file whose imports are all settled is settled; what is left over stands in a circle.
        loop {
            let before = open.len();
            let left: BTreeSet<Module> = open.keys().cloned().collect();
            open.retain(|_, used| used.iter().any(|other| left.contains(other)));
            if open.len() == before {
                open.values_mut().for_each(|used| used.retain(|other| left.contains(other)));
                return open;
            }
        }
    }

    /// The files that a file uses.
    fn imports(&self, module: &[String], text: &str) -> BTreeSet<Module> {
        let files = &self.0;
        let absolute = |path: String| -> Option<Vec<String>> {
            let mut parts: Vec<&str> = path.split("::").map(str::trim).collect();
            let mut base: Vec<String> = module.to_vec();
            match parts[0] {
                "crate" => base.clear(),
                "super" => {}
                "self" => drop(parts.remove(0)),
                // A sibling below, as `use bars::Bars` in a folder's `mod.rs`.
                first => {
                    base.push(first.to_owned());
                    files.contains_key(&base).then_some(())?;
                    base.pop();
                }
            }
            if parts.first() == Some(&"crate") {
                parts.remove(0);
            }
            while parts.first() == Some(&"super") {
                base.pop();
                parts.remove(0);
            }
            base.extend(parts.into_iter().map(str::to_owned));
            (1..=base.len()).rev().map(|end| base[..end].to_vec()).find(|m| files.contains_key(m))
        };
        let mut used: BTreeSet<Vec<String>> =
            paths(text).into_iter().filter_map(absolute).collect();
        // A call such as `clusters::read(…)` into a file below.
        for child in files.keys().filter(|other| other.len() == module.len() + 1) {
            let name = format!("{}::", child[module.len()]);
            let called = || {
                text.match_indices(&name).any(|(at, _)| {
                    let before = text[..at].chars().next_back();
                    before.is_none_or(|sign| !sign.is_alphanumeric() && sign != '_' && sign != ':')
                })
            };
            if child.starts_with(module) && called() {
                used.insert(child.clone());
            }
        }
        used.remove(module);
        used
    }
}

fn module_of(path: &Path) -> Module {
    let inside = path.with_extension("");
    let mut module: Module = inside.iter().map(|part| part.to_str().unwrap().to_owned()).collect();
    if module.last().is_some_and(|last| last == "mod") {
        module.pop();
    }
    module
}

fn is_test(module: &[String]) -> bool {
    module.iter().any(|part| part.ends_with("tests") || part == "invented")
}

fn plain(text: &str) -> String {
    let lines = text.lines().take_while(|line| *line != "mod tests {");
    let plain = lines.map(|line| line.split("//").next().unwrap_or_default());
    plain.collect::<Vec<_>>().join("\n")
}

/// `a::{b, c::{d, e}}` as `a::b`, `a::c::d` and `a::c::e`.
fn expand(tree: &str) -> Vec<String> {
    let tree = tree.trim();
    let Some((prefix, group)) = tree.split_once('{') else {
        return vec![tree.split(" as ").next().unwrap_or_default().trim().to_owned()];
    };
    let inside = group.strip_suffix('}').unwrap();
    let mut depth = 0;
    let parts = inside.split(|sign| {
        depth += i32::from(sign == '{') - i32::from(sign == '}');
        sign == ',' && depth == 0
    });
    let parts = parts.filter(|part| !part.trim().is_empty());
    parts.flat_map(expand).map(|part| format!("{prefix}{part}")).collect()
}

/// The paths that a text names from the crate's root, from the module above, or with `use`.
fn paths(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (at, word) in text.match_indices("use ") {
        // An import begins its line, if need be after `pub`; other words do not count.
        let before = text[..at].trim_end_matches(' ');
        if before.is_empty() || ["\n", "pub", ")"].iter().any(|end| before.ends_with(end)) {
            let statement = &text[at + word.len()..];
            found.extend(expand(statement.split(';').next().unwrap_or_default()));
        }
    }
    for start in ["crate::", "super::"] {
        for rest in text.split(start).skip(1) {
            let end = rest.find(|sign: char| !sign.is_alphanumeric() && sign != '_' && sign != ':');
            found.push(format!("{start}{}", &rest[..end.unwrap_or(rest.len())]));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sources(files: &[(&str, &str)]) -> Sources {
        let file = |(path, text): &(&str, &str)| (module_of(Path::new(path)), plain(text));
        Sources(files.iter().map(file).collect())
    }

    #[test]
    fn an_import_against_the_order_is_found() {
        let order = ["low", "high"].map(str::to_owned);
        let high = ("high/mod.rs", "use crate::low::{One, part::Two};\nfn f() {}");
        let (part, low) = (("low/part.rs", "pub struct Two;"), ("low/mod.rs", "mod part;"));
        assert_eq!(sources(&[high, part, low]).upward(&order), (vec![], 2));
        for wrong in ["use crate::high::Three;", "fn f() { crate::high::three() }"] {
            let (upward, _) = sources(&[high, ("low/part.rs", wrong), low]).upward(&order);
            assert_eq!(upward, ["low::part uses high"]);
        }
        let comment = ("low/part.rs", "// as crate::high::three\nmod tests {\n use crate::high;");
        assert_eq!(sources(&[high, comment, low]).upward(&order).0, [""; 0]);
    }

    #[test]
    fn a_circle_is_found() {
        let there = ("a/one.rs", "use crate::a::two::Two;");
        let back = ("a/two.rs", "use super::one::One;");
        assert_eq!(sources(&[there, back]).circles().len(), 2);
        assert!(sources(&[there, ("a/two.rs", "")]).circles().is_empty());
    }
}
