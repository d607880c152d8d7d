//! `drill`: what a drill counts in a file, as in the plugin.

use crate::outcome::Outcome;
use overbar_core::practice::{self, Drill, Listener};
use overbar_files::load::load;
use overbar_files::options::Options;
use std::ffi::OsString;
use std::path::Path;

const KNOWN: [&str; 9] = [
    "--json",
    "--drill",
    "--track",
    "--channel",
    "--form",
    "--first-bar",
    "--count-in",
    "--choruses",
    "--pass",
];

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    Outcome::print(text(arguments))
}

fn text(arguments: &[OsString]) -> Result<String, String> {
    let options = Options::parse(arguments, &KNOWN)?;
    let path = options.one_path("drill needs a MIDI file", "one file at a time")?;
    let drill = drill(&options)?;
    let file = load(&path, &options)?;
    let mut listener = Listener::new(drill, &options.settings, None)
        .map_err(|fault| format!("{}: {}", fault.field, fault.what))?;
    listener.evaluate_whole(file.analysis.take(), file.analysis.phrases());
    let report = listener.report();
    if options.json {
        return serde_json::to_string(&report).map_err(|error| error.to_string());
    }
    Ok(report.to_string())
}

/// The drill of a `.toml` file or a short name, changed by the other options.
fn drill(options: &Options) -> Result<Drill, String> {
    let name = options.drill.as_ref().ok_or("drill needs --drill with a file or a short name")?;
    let path = Path::new(name);
    let mut drill = if path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml")) {
        let name = path.display();
        let text = std::fs::read_to_string(path).map_err(|error| format!("{name}: {error}"))?;
        practice::read(&text).map_err(|error| format!("{name}: {error}"))?
    } else {
        practice::built_in(&name.to_string_lossy())?
    };
    drill.form.bars = options.bars.unwrap_or(drill.form.bars);
    drill.form.first_bar = options.first_bar.or(drill.form.first_bar);
    drill.form.count_in = options.count_in.unwrap_or(drill.form.count_in);
    drill.choruses = options.choruses.unwrap_or(drill.choruses);
    drill.pass = options.pass.unwrap_or(drill.pass);
    Ok(drill)
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_testkit::midi::{QUARTER, Track, midi_file};

    fn file(folder: &tempfile::TempDir, name: &str, bytes: &[u8]) -> OsString {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path.into_os_string()
    }

    /// Quarters in bars 2 to 5 at 120 a minute, but for the second of bar 3.
    fn quarters() -> Vec<u8> {
        let beats = (4..20).filter(|beat| *beat != 9).map(|beat| beat * QUARTER);
        midi_file(0, &[beats.fold(Track::default(), |track, at| track.note(0, 60, at, at + 400))])
    }

    fn ask(arguments: &[&OsString]) -> Result<String, String> {
        text(&arguments.iter().map(|a| (*a).clone()).collect::<Vec<_>>())
    }

    #[test]
    fn a_file_is_counted_in_words_and_as_json() {
        let folder = tempfile::tempdir().unwrap();
        let midi = file(&folder, "quarters.mid", &quarters());
        let [short, drill, form, four, json] =
            ["--drill", "line quarter", "--form", "4", "--json"].map(OsString::from);
        let text = ask(&[&midi, &short, &drill, &form, &four]).unwrap();
        assert!(text.contains("chorus 1, from bar 2 at 120"), "{text}");
        assert!(text.contains("places filled: 15 of 16 (94 %)"), "{text}");
        assert!(text.contains("1 break: bar 2 from beat 2.00 (1 missing)"), "{text}");
        assert!(text.contains("pass mark of 90 % reached"), "{text}");
        let text = ask(&[&midi, &short, &drill, &form, &four, &json]).unwrap();
        let report: serde_json::Value = serde_json::from_str(&text).unwrap();
        let goal = &report["whole"][0];
        assert_eq!((goal["kind"].as_str(), goal["off"].as_u64()), (Some("unbroken_line"), Some(0)));
        assert_eq!(goal["places"]["count"], 15);
        assert_eq!(goal["breaks"][0]["bar"], 2);
        assert_eq!(report["passed"], true);

        // The same of a file.
        let toml = "version = 1\nname = \"Mine\"\n[form]\nbars = 4\n[[goal]]\n\
                    kind = \"unbroken line\"\nvalues = [\"quarter\"]\n";
        let file = file(&folder, "mine.toml", toml.as_bytes());
        let text = ask(&[&midi, &short, &file]).unwrap();
        assert!(text.starts_with("Mine\n") && text.contains("15 of 16"), "{text}");
    }

    #[test]
    fn what_cannot_be_used_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let midi = file(&folder, "quarters.mid", &quarters());
        let toml = file(&folder, "wrong.toml", b"version = 1\nname = \"Mine\"\nchoruses = 0\n");
        let [short, line, missing, form, wrong] =
            ["--drill", "line quarter", "no-such.toml", "--form", "x"].map(OsString::from);
        for (arguments, told) in [
            (vec![], "needs a MIDI file"),
            (vec![&midi], "needs --drill"),
            (vec![&midi, &short], "needs a value"),
            (vec![&midi, &short, &missing], "no-such.toml: "),
            (vec![&midi, &short, &toml], "wrong.toml: line 3, choruses: is 0"),
            (vec![&midi, &short, &line, &form, &wrong], "--form x"),
            (vec![&toml, &short, &line], "wrong.toml: "),
            (vec![&midi, &midi], "one file at a time"),
        ] {
            let error = ask(&arguments).unwrap_err();
            assert!(error.contains(told), "{error}");
            assert_eq!(error.lines().count(), 1, "{error}");
        }
    }
}
