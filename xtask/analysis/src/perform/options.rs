//! The options of `perform`, each with its limits.

use overbar_core::time::metre::Metre;
use overbar_testkit::soloist::Gate;
use std::ffi::OsString;
use std::ops::RangeInclusive;
use std::path::PathBuf;
use std::str::FromStr;

/// The options.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// The output folder.
    pub folder: PathBuf,
    /// The number of solos.
    pub solos: u32,
    /// Bars of each, including the count-in.
    pub bars: u32,
    /// The random seed.
    pub seed: u64,
    /// Metres, taken in turn.
    pub metres: Vec<Metre>,
    /// Felt beats per minute.
    pub tempo: RangeInclusive<f64>,
    /// How far the tempo wanders either way, in percent.
    pub drift: f64,
    /// Beat-upbeat ratio of eighths; `None` to follow the tempo.
    pub swing: Option<RangeInclusive<f64>>,
    /// Lag of notes on the beat, in milliseconds.
    pub lag: RangeInclusive<f64>,
    /// Lag of notes off the beat, in milliseconds; `None` for half of `lag`.
    pub off_beat_lag: Option<RangeInclusive<f64>>,
    /// How far lags wander either way during a solo, in milliseconds.
    pub lag_wander: RangeInclusive<f64>,
    /// Extra delay of accented notes, in milliseconds.
    pub accent_delay: RangeInclusive<f64>,
    /// Relative deviation of the swing ratio of a chorus from the solo's.
    pub swing_change: RangeInclusive<f64>,
    /// Spread of onsets, independent for each note, in milliseconds.
    pub jitter: RangeInclusive<f64>,
    /// Spread of deviations that persist for several notes, in milliseconds.
    pub correlated_jitter: RangeInclusive<f64>,
    /// How long notes are held.
    pub gate: Gate,
    /// Share of notes whose note-off is never sent.
    pub missed_offs: f64,
    /// Share of notes with a glitch beside them, if there is room for one.
    pub glitches: f64,
}

/// Limits, in the units of [`Options`]. Eight bars have room for a phrase in any metre.
const SOLOS: RangeInclusive<u32> = 1..=9999;
const BARS: RangeInclusive<u32> = 8..=1000;
const TEMPO: RangeInclusive<f64> = 40.0..=400.0;
const DRIFT: RangeInclusive<f64> = 0.0..=10.0;
const SWING: RangeInclusive<f64> = 1.0..=4.0;
const LAG: RangeInclusive<f64> = -100.0..=100.0;
const MILLISECONDS: RangeInclusive<f64> = 0.0..=50.0;
const SHARE: RangeInclusive<f64> = 0.0..=1.0;

/// Maximum beats in a bar, and possible lower figures of a metre.
const MAX_BEATS: u8 = 16;
const LOWER_FIGURES: [u8; 3] = [2, 4, 8];

impl Default for Options {
    fn default() -> Self {
        let mut options = Self {
            folder: PathBuf::new(),
            solos: 200,
            bars: 64,
            seed: 1,
            metres: vec![Metre::COMMON],
            tempo: 60.0..=300.0,
            drift: 0.0,
            swing: None,
            lag: -20.0..=60.0,
            off_beat_lag: None,
            lag_wander: 0.0..=0.0,
            accent_delay: 0.0..=0.0,
            swing_change: 0.0..=0.0,
            jitter: 0.0..=0.0,
            correlated_jitter: 0.0..=0.0,
            gate: Gate::Natural,
            missed_offs: 0.0,
            glitches: 0.0,
        };
        options.time_as(Mix::Varied);
        options
    }
}

/// The values of `--timing`: the timing of solos unless options say otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mix {
    /// Every note on its position.
    Exact,
    /// As the analysis assumes.
    Simple,
    /// Human timing in ways that the analysis does not assume. Origin of the ranges: a plausible spread, no
    /// source; off-beats close to the time (Nelias and others 2022).
    Varied,
}

impl Options {
    fn time_as(&mut self, mix: Mix) {
        let varied = mix == Mix::Varied;
        let up_to = |max: f64| if varied { 0.0..=max } else { 0.0..=0.0 };
        self.off_beat_lag = varied.then_some(-10.0..=30.0);
        self.lag_wander = up_to(15.0);
        self.accent_delay = up_to(15.0);
        self.swing_change = up_to(0.3);
        self.correlated_jitter = if varied { 5.0..=15.0 } else { 0.0..=0.0 };
        self.jitter = if varied { 10.0..=25.0 } else { 20.0..=20.0 };
        if mix == Mix::Exact {
            (self.lag, self.jitter, self.swing) = (0.0..=0.0, 0.0..=0.0, Some(1.0..=1.0));
        }
    }

    /// Parses arguments.
    ///
    /// # Errors
    /// A line that names the argument and its valid values.
    pub fn parse(arguments: &[OsString]) -> Result<Self, String> {
        let mut options = Self::default();
        let mut rest = arguments.iter();
        while let Some(argument) = rest.next() {
            let name = argument.to_string_lossy();
            if !name.starts_with('-') {
                if !options.folder.as_os_str().is_empty() {
                    return Err(format!("{name}: one folder at a time"));
                }
                options.folder = PathBuf::from(argument);
                continue;
            }
            let mut value = || -> Result<String, String> {
                let value = rest.next().ok_or(format!("option '{name}' requires a value"))?;
                Ok(value.to_string_lossy().into_owned())
            };
            match name.as_ref() {
                "--solos" => options.solos = number(&name, &value()?, &SOLOS)?,
                "--bars" => options.bars = number(&name, &value()?, &BARS)?,
                "--seed" => options.seed = number(&name, &value()?, &(0..=u64::MAX))?,
                "--metre" => options.metres = metres(&name, &value()?)?,
                "--tempo" => options.tempo = range(&name, &value()?, &TEMPO)?,
                "--drift" => options.drift = number(&name, &value()?, &DRIFT)?,
                "--swing" => options.swing = Some(range(&name, &value()?, &SWING)?),
                "--lag" => options.lag = range(&name, &value()?, &LAG)?,
                "--timing" => options.time_as(mix(&name, &value()?)?),
                "--off-beat-lag" => options.off_beat_lag = Some(range(&name, &value()?, &LAG)?),
                "--lag-wander" => options.lag_wander = range(&name, &value()?, &MILLISECONDS)?,
                "--accent-delay" => options.accent_delay = range(&name, &value()?, &MILLISECONDS)?,
                "--swing-change" => options.swing_change = range(&name, &value()?, &SHARE)?,
                "--jitter" => options.jitter = range(&name, &value()?, &MILLISECONDS)?,
                "--correlated-jitter" => {
                    options.correlated_jitter = range(&name, &value()?, &MILLISECONDS)?;
                }
                "--gate" => options.gate = gate(&name, &value()?)?,
                "--missed-offs" => options.missed_offs = number(&name, &value()?, &SHARE)?,
                "--glitches" => options.glitches = number(&name, &value()?, &SHARE)?,
                _ => return Err(format!("unknown option '{name}'")),
            }
        }
        if options.folder.as_os_str().is_empty() {
            return Err("perform needs a folder to write to".to_owned());
        }
        Ok(options)
    }
}

fn number<T>(name: &str, text: &str, limits: &RangeInclusive<T>) -> Result<T, String>
where
    T: FromStr + PartialOrd + std::fmt::Display,
{
    let number = text.parse().ok().filter(|number| limits.contains(number));
    let (low, high) = (limits.start(), limits.end());
    number.ok_or_else(|| {
        format!("invalid value '{text}' for {name}: expected a number from {low} to {high}")
    })
}

/// `LOW-HIGH`, or one number for both. Either may be negative.
fn range(
    name: &str,
    text: &str,
    limits: &RangeInclusive<f64>,
) -> Result<RangeInclusive<f64>, String> {
    let dash = text.char_indices().skip(1).find(|(_, character)| *character == '-');
    let (low, high) = match dash {
        Some((at, _)) => (&text[..at], &text[at + 1..]),
        None => (text, text),
    };
    match (number(name, low, limits), number(name, high, limits)) {
        (Ok(low), Ok(high)) if low <= high => Ok(low..=high),
        _ => {
            let (min, max) = (limits.start(), limits.end());
            Err(format!(
                "invalid value '{text}' for {name}: expected a number or LOW-HIGH from {min} to {max}"
            ))
        }
    }
}

fn metres(name: &str, text: &str) -> Result<Vec<Metre>, String> {
    let metre = |signature: &str| {
        let (upper, lower) = signature.split_once('/')?;
        let metre = Metre::new(upper.parse().ok()?, lower.parse().ok()?)?;
        let usual = metre.numerator() <= MAX_BEATS && LOWER_FIGURES.contains(&metre.denominator());
        usual.then_some(metre)
    };
    text.split(',').map(metre).collect::<Option<_>>().ok_or_else(|| {
        format!(
            "invalid value '{text}' for {name}: expected time signatures like 4/4,6/8, 1 to {MAX_BEATS} \
             over 2, 4 or 8"
        )
    })
}

fn gate(name: &str, text: &str) -> Result<Gate, String> {
    let known = Gate::ALL.into_iter().find(|gate| gate.name() == text);
    known.ok_or_else(|| {
        format!("invalid value '{text}' for {name} (choose legato, natural, staccato or fixed)")
    })
}

fn mix(name: &str, text: &str) -> Result<Mix, String> {
    match text {
        "exact" => Ok(Mix::Exact),
        "simple" => Ok(Mix::Simple),
        "varied" => Ok(Mix::Varied),
        _ => Err(format!("invalid value '{text}' for {name} (choose exact, simple or varied)")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(line: &str) -> Result<Options, String> {
        let arguments: Vec<OsString> = line.split_whitespace().map(OsString::from).collect();
        Options::parse(&arguments)
    }

    #[test]
    fn every_option_is_parsed() {
        let options = parse(
            "out --solos 3 --bars 12 --seed 7 --metre 3/4,6/8 --tempo 90-120.5 --drift 2 --swing 2 \
             --timing simple --lag -20--5 --off-beat-lag 1 --lag-wander 2-3 --accent-delay 4 \
             --swing-change 0.5 --jitter 0 --correlated-jitter 6 --gate fixed --missed-offs 0.1 \
             --glitches 1",
        );
        let metres = vec![Metre::new(3, 4).unwrap(), Metre::new(6, 8).unwrap()];
        let expected = Options {
            folder: "out".into(),
            solos: 3,
            bars: 12,
            seed: 7,
            metres,
            tempo: 90.0..=120.5,
            drift: 2.0,
            swing: Some(2.0..=2.0),
            lag: -20.0..=-5.0,
            off_beat_lag: Some(1.0..=1.0),
            lag_wander: 2.0..=3.0,
            accent_delay: 4.0..=4.0,
            swing_change: 0.5..=0.5,
            jitter: 0.0..=0.0,
            correlated_jitter: 6.0..=6.0,
            gate: Gate::Fixed,
            missed_offs: 0.1,
            glitches: 1.0,
        };
        assert_eq!(options, Ok(expected));
        assert_eq!(parse("--lag -20-60 out").unwrap().lag, -20.0..=60.0);
        assert_eq!(parse("out --lag -20").unwrap().lag, -20.0..=-20.0);
    }

    #[test]
    fn bad_options_give_one_clear_line() {
        for (line, message) in [
            ("", "perform needs a folder to write to"),
            ("one two", "two: one folder at a time"),
            ("out --loud 3", "unknown option '--loud'"),
            ("out --solos", "option '--solos' requires a value"),
            ("out --solos 0", "invalid value '0' for --solos: expected a number from 1 to 9999"),
            ("out --bars 7", "invalid value '7' for --bars: expected a number from 8 to 1000"),
            (
                "out --seed -1",
                "invalid value '-1' for --seed: expected a number from 0 to 18446744073709551615",
            ),
            (
                "out --tempo 120-90",
                "invalid value '120-90' for --tempo: expected a number or LOW-HIGH from 40 to 400",
            ),
            (
                "out --tempo NaN",
                "invalid value 'NaN' for --tempo: expected a number or LOW-HIGH from 40 to 400",
            ),
            (
                "out --tempo -",
                "invalid value '-' for --tempo: expected a number or LOW-HIGH from 40 to 400",
            ),
            (
                "out --swing 0.5-2",
                "invalid value '0.5-2' for --swing: expected a number or LOW-HIGH from 1 to 4",
            ),
            (
                "out --jitter inf",
                "invalid value 'inf' for --jitter: expected a number or LOW-HIGH from 0 to 50",
            ),
            (
                "out --timing loose",
                "invalid value 'loose' for --timing (choose exact, simple or varied)",
            ),
            (
                "out --gate loose",
                "invalid value 'loose' for --gate (choose legato, natural, staccato or fixed)",
            ),
            ("out --glitches 2", "invalid value '2' for --glitches: expected a number from 0 to 1"),
        ] {
            assert_eq!(parse(line), Err(message.to_owned()), "{line}");
        }
        for metre in ["4", "4/4,", "0/4", "4/3", "17/4", "4/16", "-4/4", "4/4/4"] {
            let message = parse(&format!("out --metre {metre}")).unwrap_err();
            assert!(
                message.starts_with(&format!("invalid value '{metre}' for --metre: ")),
                "{message}"
            );
        }
    }
}
