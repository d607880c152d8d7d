//! `fuzz [TARGET] [--minutes N] [--seed N]`: mutates input at random for the given time. A failing input is
//! written to the folder that is printed, and goes into `tests/fuzz/TARGET` once it is fixed. Exit code 1 if
//! one failed.

use overbar_tests::fuzz::{Run, TARGETS, Until};
use std::process::ExitCode;
use std::time::Duration;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let option = |name: &str| {
        let at = arguments.iter().position(|argument| argument == name)?;
        arguments.get(at + 1)?.parse::<f64>().ok()
    };
    let minutes = option("--minutes").unwrap_or(1.0);
    let seed = option("--seed").unwrap_or(1.0) as u64;
    let wanted = arguments.first().filter(|argument| !argument.starts_with("--"));
    if let Some(name) = wanted.filter(|name| TARGETS.iter().all(|target| target.name != **name)) {
        say(&format!("{name}: no such target; there are {}", TARGETS.map(|t| t.name).join(", ")));
        return ExitCode::from(2);
    }
    let mut failed = false;
    for target in TARGETS.iter().filter(|t| wanted.is_none_or(|name| name == t.name)) {
        match target.run(seed, &Until::Time(Duration::from_secs_f64(minutes * 60.0))) {
            Ok(Run { inputs, new }) => {
                let guided = new.map_or_else(
                    || "not guided by coverage".to_owned(),
                    |new| format!("{new} of them reached something new"),
                );
                say(&format!("{}: {inputs} inputs, none failed; {guided}", target.name));
            }
            Err(failure) => {
                failed = true;
                let path = std::env::temp_dir().join(format!("overbar-fuzz-{}", target.name));
                let kept = std::fs::write(&path, &failure.input);
                let at = kept.map_or_else(|e| e.to_string(), |()| path.display().to_string());
                say(&format!("{}: FAILED, {}: {at}", target.name, failure.why));
            }
        }
    }
    if failed { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}

#[expect(clippy::print_stdout, reason = "what the program is for")]
fn say(line: &str) {
    println!("{line}");
}
