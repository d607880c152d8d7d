//! `cargo xtask COMMAND`: dispatch only; one file a command.

mod advice;
mod bundle;
mod calibrate;
mod check;
mod comp;
mod compare;
mod demo;
mod deny;
mod drill;
mod harmony;
mod long;
mod package;
mod perform;
mod progress;
mod score;
mod steps;

use outcome::Outcome;
use overbar_files::{options, outcome, review};
use std::ffi::OsString;
use std::process::ExitCode;

const USAGE: &str = r#"cargo xtask demo [--show]            play an invented practice session through the built plugin
cargo xtask review FILE_OR_FOLDER    hear Standard MIDI Files as the plugin would
            [--json] [--track N] [--channel N]
            [--report OUT.html_OR_FOLDER] one page a file, and an index over a folder
            [--export FOLDER]             MIDI with markers, CSV and JSON
            [--form BARS] [--first-bar N] [--sections "A8 A8 B8 A8"] [--chords "| Cm7 | F7 |"]
            [--style NAME] [--reference FOLDER] recorded solos and own files to hold it against
            [--join BAR.BEAT] [--split BAR.BEAT] where no phrase begins, or one does
            [--corrections FILE.json]     where such corrections are kept and read
            [--melody auto|top|all] [--feel auto|straight|swing] [--pulse host|half|double]
            [--latency MS]                the rig's delay
cargo xtask calibrate TAPS.mid       the rig's delay, from taps along with a click
            [--pulse host|half|double] [--track N] [--channel N]
cargo xtask advice FILE_OR_FOLDER    what to work on next; of a folder of solos, what is usual
            [--json]                 and how often each rule speaks
cargo xtask harmony FILE.mid --chords CHART.txt [--json]
                                     chord and guide tones of a line over a chord line
cargo xtask chords SYMBOLS.txt       read chord symbols, one a line, as JSON
cargo xtask progress FOLDER --report OUT.html [--on DATE]
                                     a page for a teacher about the takes of FOLDER/index.csv
cargo xtask score FOLDER             score phrase starts and entry places on labelled solos
            [--cross-validate] [--taught] [--gate MS | --legato SECONDS] [--fit OUT] [--json]
            [--melody auto|top|all] [--feel ...] [--pulse ...] [--latency MS]
cargo xtask drill FILE --drill DRILL what a drill counts in a MIDI file; DRILL is a .toml file or a
            [--json]                 short name: "line half,quarter,eighth", "entry 4&",
            [--form BARS]            "exit off the beat", "exit over the bar line", "long 4",
            [--first-bar N]          "rest 2", "rest 30%", or several of them joined by +
            [--count-in BARS] [--choruses N] [--pass SHARE] [--track N] [--channel N]
cargo xtask compare A.mid B.mid ...  set two to eight takes side by side
            [--json] [--report OUT.html] [--style NAME]
cargo xtask comp A.mid B.mid ...     propose a comp of two to eight takes
            --form BARS [--first-bar N] [--sections ...] [--by chorus|section|BARS]
            [--aim clean,long,off-beat,seams] in order of weight [--no-nudge]
            [--out COMP.mid] [--cues OUT.txt_OR_CSV] [--report OUT.html]
cargo xtask perform OUT_FOLDER       perform invented lines: MIDI, and the truth for score
            [--solos N] [--bars N] [--seed S] [--metre 4/4,3/4,...] [--tempo LOW-HIGH]
            [--drift PERCENT] [--swing LOW-HIGH] [--lag LOW-HIGH] [--jitter MS]
            [--gate legato|natural|staccato|fixed] [--missed-offs SHARE] [--glitches SHARE]
            a range may be one number; lag and jitter are in milliseconds, shares from 0 to 1
cargo xtask bundle                   build overbar.clap and overbar.vst3 into target/bundled
cargo xtask package [--twice]        an archive for this system in target/package, with licences and
                                     scripts to install it; --twice: built twice, bit for bit
cargo xtask fuzz [TARGET] [--minutes N] [--seed N]
                                     damages input at random and reads it, a minute a target
cargo xtask soak [--hours N]         a rehearsal of eight hours, as fast as it goes
cargo xtask speed [FOLDER]           how long review takes, beside libraries that only read
cargo xtask sanitize                 AddressSanitizer and valgrind over hosts that play the plugin
cargo xtask check [--hosts]          formatting, lints, all tests, documentation, outside checks;
                                     --hosts: also in real DAWs, which it installs on Debian"#;

fn main() -> ExitCode {
    let arguments: Vec<OsString> = std::env::args_os().skip(1).collect();
    run(&arguments).report()
}

fn run(arguments: &[OsString]) -> Outcome {
    let (command, rest) = match arguments.split_first() {
        Some((command, rest)) => (command.to_str().unwrap_or_default(), rest),
        None => ("", arguments),
    };
    let asks_for_help = |argument: &OsString| argument == "--help" || argument == "-h";
    if command == "help" || arguments.iter().any(asks_for_help) {
        outcome::say(USAGE);
        return Outcome::Done;
    }
    match command {
        "demo" => demo::run(&texts(rest)),
        "review" => review::run(rest),
        "advice" => advice::run(rest),
        "harmony" => harmony::run(rest),
        "chords" => harmony::chords(rest),
        "drill" => drill::run(rest),
        "compare" => compare::run(rest),
        "comp" => comp::run(rest),
        "score" => score::run(rest),
        "progress" => progress::run(rest),
        "perform" => perform::run(rest),
        "calibrate" => calibrate::run(rest),
        "bundle" => bundle::run(&texts(rest)),
        "package" => package::run(&texts(rest)),
        "fuzz" => long::fuzz(&texts(rest)),
        "soak" => long::soak(&texts(rest)),
        "speed" => long::speed(&texts(rest)),
        "sanitize" => long::sanitize(&texts(rest)),
        "check" => check::run(&texts(rest)),
        _ => Outcome::Wrong(USAGE.to_owned()),
    }
}

/// The arguments of the commands that take no file: options, which are text.
fn texts(arguments: &[OsString]) -> Vec<String> {
    arguments.iter().map(|argument| argument.to_string_lossy().into_owned()).collect()
}
