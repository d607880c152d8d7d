use super::*;

/// Files as the bundler leaves them.
fn bundles(folder: &Path) {
    write(&folder.join("overbar.clap"), b"clap").unwrap();
    write(&folder.join("overbar"), b"of an earlier build").unwrap();
    write(&folder.join("program/overbar"), b"#!/bin/sh\n").unwrap();
    write(&folder.join("program/man/overbar-review.1"), b".TH overbar-review 1\n").unwrap();
    for (_, file) in COMPLETIONS {
        write(&folder.join("program/completions").join(file), b"# completions\n").unwrap();
    }
    write(&folder.join("overbar.vst3/Contents/x86_64-linux/overbar.so"), b"vst3").unwrap();
}

#[test]
fn packages_are_reproducible_and_their_checksums_correct() {
    let folder = tempfile::tempdir().unwrap();
    bundles(&folder.path().join("bundled"));
    let archive = |name: &str| {
        let content = folder.path().join(name);
        gather(&folder.path().join("bundled"), &content).unwrap();
        pack(&content, "overbar").unwrap()
    };
    assert!(archive("one") == archive("other"));
    let content = files_of(&folder.path().join("one")).unwrap();
    let sums = content.iter().find(|(path, _)| path == "SHA256SUMS").unwrap();
    let sums = String::from_utf8(sums.1.clone()).unwrap();
    assert_eq!(sums.lines().count(), content.len() - 1);
    // SHA-256 of "clap", by coreutils' sha256sum.
    let clap = "8cceaf5c89e63591aea2e0a16fd98363477c370764ffa98fa7f00a60928576e1";
    assert!(sums.contains(&format!("{clap}  CLAP/overbar.clap")), "{sums}");
    assert!(sums.contains("  program/overbar\n"), "{sums}");
    assert!(!sums.contains("CLAP/overbar\n"), "{sums}");
}

/// The anchors of headings, as web pages name them.
fn anchors(page: &str) -> Vec<String> {
    let headings = page.lines().filter(|line| line.starts_with('#'));
    let anchor = |heading: &str| {
        let text = heading.trim_start_matches('#').trim().to_lowercase();
        let kept = text.chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'));
        kept.map(|c| if c == ' ' { '-' } else { c }).collect()
    };
    headings.map(anchor).collect()
}

#[test]
fn every_link_of_its_documents_leads_somewhere() {
    let folder = tempfile::tempdir().unwrap();
    bundles(&folder.path().join("bundled"));
    let content = folder.path().join("content");
    gather(&folder.path().join("bundled"), &content).unwrap();
    let mut links = 0;
    for (path, bytes) in files_of(&content).unwrap() {
        if !path.ends_with(".md") {
            continue;
        }
        let text = String::from_utf8(bytes).unwrap();
        for after in text.split("](").skip(1) {
            let link = after.split_once(')').unwrap().0;
            if link.contains("://") {
                continue;
            }
            let (file, anchor) = link.split_once('#').unwrap_or((link, ""));
            let file = match file {
                "" => content.join(&path),
                file => content.join(&path).with_file_name("").join(file),
            };
            assert!(file.is_file(), "{path}: {link}");
            if !anchor.is_empty() {
                let page = std::fs::read_to_string(&file).unwrap();
                assert!(anchors(&page).contains(&anchor.to_owned()), "{path}: {link}");
            }
            links += 1;
        }
    }
    assert!(links > 50, "{links}");
    let readme = std::fs::read_to_string(content.join("README.md")).unwrap();
    assert!(!readme.contains("cargo") && readme.contains("## Licence"), "{readme}");
}

#[cfg(unix)]
#[test]
fn it_installs_into_another_home_and_uninstalls() {
    let folder = tempfile::tempdir().unwrap();
    bundles(&folder.path().join("bundled"));
    let content = folder.path().join("content");
    gather(&folder.path().join("bundled"), &content).unwrap();
    let archive = folder.path().join("package.tar.gz");
    write(&archive, &pack(&content, &name()).unwrap()).unwrap();
    test_install(&archive, &folder.path().join("a home with spaces")).unwrap();
}

/// As the checks in hosts use it: only the plugins and the script.
#[cfg(unix)]
#[test]
fn the_plugins_alone_can_be_installed() {
    let folder = tempfile::tempdir().unwrap();
    let (package, home) = (folder.path().join("package"), folder.path().join("home"));
    write(&package.join("CLAP/overbar.clap"), b"clap").unwrap();
    write(&package.join("VST3/overbar.vst3/Contents/x86_64-linux/overbar.so"), b"vst3").unwrap();
    write(&package.join("install.sh"), include_bytes!("install.sh")).unwrap();
    let mut command = std::process::Command::new("sh");
    command.arg(package.join("install.sh")).env("HOME", &home);
    command.env_remove("XDG_DATA_HOME").env_remove("XDG_CONFIG_HOME");
    assert!(command.status().unwrap().success());
    assert!(files_of(&home).unwrap().iter().any(|(path, _)| path.ends_with("overbar.so")));
}

#[test]
fn every_library_has_its_licence() {
    let text = licences::all().unwrap();
    for name in [
        "nice-plug",
        "egui",
        "crossbeam",
        "dejavu",
        "epaint_default_fonts",
        "midly",
        "symphonia-core",
    ] {
        assert!(text.contains(&format!("\n{name} ")), "{name}");
    }
    assert!(text.contains("Bitstream Vera Fonts Copyright"), "the typeface has its own");
    assert!(text.contains("SIL OPEN FONT LICENSE"), "the fonts behind it have theirs");
    assert!(text.contains("music.ttf"), "the music font has its own");
    assert!(!text.contains(env!("CARGO_MANIFEST_DIR")), "no path of this machine");
}

/// The version is defined once; the change log starts with it.
#[test]
fn the_change_log_starts_with_this_version() {
    let log = std::fs::read_to_string(root().join("plugin/CHANGELOG.md")).unwrap();
    let newest = log.lines().find_map(|line| line.strip_prefix("## ")).unwrap();
    assert_eq!(newest.split_whitespace().next(), Some(env!("CARGO_PKG_VERSION")));
}
