//! `drill`: what a drill counts in a file, as the plugin would.

use crate::outcome::{Outcome, say};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::practice::{self, Drill, Listener};
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use std::ffi::OsString;
use std::path::{Path, PathBuf};

#[derive(Debug)]
struct Request {
    midi: PathBuf,
    drill: OsString,
    json: bool,
    choice: Choice,
    form: Option<u32>,
    first_bar: Option<i32>,
    count_in: Option<u32>,
    choruses: Option<u32>,
    pass: Option<f64>,
}

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    match parse(arguments).and_then(|request| answer(&request)) {
        Ok(text) => {
            say(&text);
            Outcome::Done
        }
        Err(what) => Outcome::Wrong(what),
    }
}

fn parse(arguments: &[OsString]) -> Result<Request, String> {
    let mut midi = None;
    let mut drill = None;
    let mut request = Request {
        midi: PathBuf::new(),
        drill: OsString::new(),
        json: false,
        choice: Choice::default(),
        form: None,
        first_bar: None,
        count_in: None,
        choruses: None,
        pass: None,
    };
    let mut rest = arguments.iter();
    while let Some(argument) = rest.next() {
        let text = argument.to_string_lossy();
        let mut value = || rest.next().ok_or(format!("{text} needs a value"));
        match text.as_ref() {
            "--json" => request.json = true,
            "--drill" => drill = Some(value()?.clone()),
            "--track" => request.choice.track = Some(number(&text, value()?)?),
            "--channel" => request.choice.channel = Some(number(&text, value()?)?),
            "--form" => request.form = Some(number(&text, value()?)?),
            "--first-bar" => request.first_bar = Some(number(&text, value()?)?),
            "--count-in" => request.count_in = Some(number(&text, value()?)?),
            "--choruses" => request.choruses = Some(number(&text, value()?)?),
            "--pass" => request.pass = Some(number(&text, value()?)?),
            flag if flag.starts_with('-') => return Err(format!("{flag}: no such option")),
            _ if midi.is_some() => return Err(format!("{text}: one file at a time")),
            _ => midi = Some(PathBuf::from(argument)),
        }
    }
    request.midi = midi.ok_or("drill needs a MIDI file")?;
    request.drill = drill.ok_or("drill needs --drill with a file or a short name")?;
    Ok(request)
}

fn number<T: std::str::FromStr>(option: &str, value: &OsString) -> Result<T, String> {
    let value = value.to_string_lossy();
    value.parse().map_err(|_| format!("{option} {value}: not a number for it"))
}

/// # Errors
/// A line that names the file or option and the reason.
fn answer(request: &Request) -> Result<String, String> {
    let drill = the_drill(request)?;
    let name = request.midi.display();
    let read = |path: &Path| std::fs::read(path).map_err(|error| error.to_string());
    let bytes = read(&request.midi).map_err(|error| format!("{name}: {error}"))?;
    let settings = Settings::default();
    let mut session = Session::new(settings);
    let midi = MidiFile::read(&bytes).map_err(|error| format!("{name}: {error}"))?;
    let line = midi.line(request.choice).map_err(|error| format!("{name}: {error}"))?;
    midi.events(line).into_iter().for_each(|event| session.push(event));
    session.finish();
    let take = session.takes().last().ok_or(format!("{name}: no notes"))?;
    let take = TakeAnalysis::of(take.performance.clone(), settings);
    let mut listener = Listener::new(drill, &settings, None)
        .map_err(|fault| format!("{}: {}", fault.field, fault.what))?;
    listener.hear_whole(take.take(), take.phrases());
    let report = listener.report();
    if request.json {
        serde_json::to_string(&report).map_err(|error| error.to_string())
    } else {
        Ok(report.to_string().trim_end().to_owned())
    }
}

/// The drill of a file whose name ends in `.toml`, or of a short name, with what the options change.
fn the_drill(request: &Request) -> Result<Drill, String> {
    let path = Path::new(&request.drill);
    let mut drill = if path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml")) {
        let name = path.display();
        let text = std::fs::read_to_string(path).map_err(|error| format!("{name}: {error}"))?;
        practice::read(&text).map_err(|error| format!("{name}: {error}"))?
    } else {
        practice::built_in(&request.drill.to_string_lossy())?
    };
    drill.form.bars = request.form.unwrap_or(drill.form.bars);
    drill.form.first_bar = request.first_bar.or(drill.form.first_bar);
    drill.form.count_in = request.count_in.unwrap_or(drill.form.count_in);
    drill.choruses = request.choruses.unwrap_or(drill.choruses);
    drill.pass = request.pass.unwrap_or(drill.pass);
    Ok(drill)
}

#[cfg(test)]
mod tests {
    use super::*;
    use overbar_testkit::midi::{QUARTER, Track, midi_file};

    /// A folder of a test's own, which goes with it.
    struct Folder(PathBuf);

    impl Folder {
        fn new(name: &str) -> Self {
            let own = format!("overbar-drill-{}-{name}", std::process::id());
            let folder = std::env::temp_dir().join(own);
            std::fs::create_dir_all(&folder).unwrap();
            Self(folder)
        }

        fn file(&self, name: &str, bytes: &[u8]) -> OsString {
            let path = self.0.join(name);
            std::fs::write(&path, bytes).unwrap();
            path.into_os_string()
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            std::fs::remove_dir_all(&self.0).ok();
        }
    }

    /// Quarters in bars 2 to 5 at 120 a minute, but for the second of bar 3.
    fn quarters() -> Vec<u8> {
        let beats = (4..20).filter(|beat| *beat != 9).map(|beat| beat * QUARTER);
        midi_file(0, &[beats.fold(Track::default(), |track, at| track.note(0, 60, at, at + 400))])
    }

    fn ask(arguments: &[&OsString]) -> Result<String, String> {
        let arguments: Vec<OsString> = arguments.iter().map(|a| (*a).clone()).collect();
        parse(&arguments).and_then(|request| answer(&request))
    }

    #[test]
    fn a_file_is_counted_in_words_and_as_json() {
        let folder = Folder::new("counted");
        let midi = folder.file("quarters.mid", &quarters());
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
        let file = folder.file("mine.toml", toml.as_bytes());
        let text = ask(&[&midi, &short, &file]).unwrap();
        assert!(text.starts_with("Mine\n") && text.contains("15 of 16"), "{text}");
    }

    #[test]
    fn what_cannot_be_used_is_named() {
        let folder = Folder::new("refused");
        let midi = folder.file("quarters.mid", &quarters());
        let toml = folder.file("wrong.toml", b"version = 1\nname = \"Mine\"\nchoruses = 0\n");
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
