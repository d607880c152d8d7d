//! A review in words, for a terminal.

use super::Review;
use crate::feel::Feel;
use crate::feel::sample::Sample;
use crate::melody::RoleCounts;
use crate::stats::Share;
use core::fmt;

impl fmt::Display for Review {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let figures = &self.figures.figures;
        writeln!(f, "{}", self.file)?;
        let many = |one: bool| if one { "" } else { "s" };
        let (notes, phrases) = (self.notes, figures.phrases);
        let (of_notes, of_phrases) = (many(notes == 1), many(phrases == 1));
        writeln!(f, "  {notes} note{of_notes}, {phrases} phrase{of_phrases}")?;
        write_roles(f, &self.roles)?;
        write_share(f, "come in off the beat", &figures.off_beat_entries)?;
        write_share(f, "come in on beat one", &figures.beat_one_entries)?;
        write_share(f, "leave off the beat", &figures.off_beat_exits)?;
        let feel = &self.figures.feel;
        write_share(f, "hold their first note over the bar", &feel.entries_held_over)?;
        write_share(f, "hold their last note over the bar", &feel.exits_held_over)?;
        if self.figures.few_phrases {
            writeln!(f, "  few phrases: the shares above say little yet")?;
        }
        if let Some(lengths) = &figures.lengths {
            writeln!(
                f,
                "  length: median {:.1} bars, middle half {:.1} to {:.1}, longest {:.1}",
                lengths.bars.median, lengths.bars.lower, lengths.bars.upper, lengths.bars.longest
            )?;
        }
        if let Some(rest) = figures.rest_share {
            writeln!(f, "  rest: {:.0} % of the time", rest * 100.0)?;
        }
        write_feel(f, feel)?;
        for alert in &self.alerts {
            writeln!(f, "  from bar {}: {}", alert.alert.bar, alert.heard)?;
        }
        if let Some(taught) = &self.taught {
            let (finer, count) = (taught.finer, taught.corrections);
            let of_corrections = many(count == 1);
            writeln!(f, "  {count} correction{of_corrections} teach: finer {finer:+.2}")?;
        }
        let odd = self.oddities.total();
        if odd > 0 {
            let named = self.oddities.named();
            let found: Vec<String> = named
                .iter()
                .filter(|(_, count)| *count > 0)
                .map(|(name, count)| format!("{name}: {count}"))
                .collect();
            writeln!(f, "  oddities: {}", found.join("; "))?;
        }
        Ok(())
    }
}

/// What is not the line's, if there is anything.
fn write_roles(f: &mut fmt::Formatter<'_>, roles: &RoleCounts) -> fmt::Result {
    let RoleCounts { ornaments, glitches, under, .. } = roles;
    if *under > 0 {
        writeln!(f, "  left out: {under} under the line, in chords or by another hand")?;
    }
    if *glitches > 0 {
        writeln!(f, "  left out: {glitches} not meant, glitches and keys that bounced")?;
    }
    if *ornaments > 0 {
        writeln!(f, "  grace notes: {ornaments}")?;
    }
    Ok(())
}

fn write_share(f: &mut fmt::Formatter<'_>, what: &str, share: &Share) -> fmt::Result {
    let (Some(value), Some((low, high))) = (share.share(), share.interval()) else {
        return Ok(());
    };
    writeln!(
        f,
        "  {what}: {:.0} % ({} of {}; 95 % interval {:.0} to {:.0} %)",
        value * 100.0,
        share.count,
        share.of,
        low * 100.0,
        high * 100.0
    )
}

fn write_feel(f: &mut fmt::Formatter<'_>, feel: &Feel) -> fmt::Result {
    write_lag(f, "on the beat", "the beat", &feel.lag.on_beat_ms)?;
    write_lag(f, "off the beat", "the straight \"and\"", &feel.lag.off_beat_ms)?;
    if let Some(median) = feel.swing.median_ratio() {
        let sample = &feel.swing.log2_ratio;
        write!(f, "  eighths: long to short, median {median:.2} ({}", counted(sample, "pair"))?;
        if let (Some(mean), Some((low, high))) = (sample.mean(), sample.interval()) {
            let [mean, low, high] = [mean, low, high].map(f64::exp2);
            write!(f, "; mean {mean:.2}, 95 % interval {low:.2} to {high:.2}")?;
        }
        writeln!(f, ")")?;
    }
    if let Some(mean) = feel.syncopation.mean() {
        write!(f, "  syncopation: {mean:.1} a bar ({}", counted(&feel.syncopation, "bar"))?;
        if let Some((low, high)) = feel.syncopation.interval() {
            write!(f, "; 95 % interval {low:.1} to {high:.1}")?;
        }
        writeln!(f, ")")?;
    }
    Ok(())
}

fn write_lag(f: &mut fmt::Formatter<'_>, which: &str, what: &str, lag: &Sample) -> fmt::Result {
    let Some(mean) = lag.mean() else { return Ok(()) };
    let (side, sign) = if mean.round() < 0.0 { ("ahead of", -1.0) } else { ("behind", 1.0) };
    // Adding nought leaves no minus before it.
    let whole = |ms: f64| (sign * ms).round() + 0.0;
    write!(f, "  {which}: {} ms {side} {what} ({}", whole(mean), counted(lag, "note"))?;
    if let (Some(sd), Some((low, high))) = (lag.sd(), lag.interval()) {
        let (near, far) = if sign < 0.0 { (high, low) } else { (low, high) };
        write!(f, "; 95 % interval {} to {} ms; sd {sd:.0} ms", whole(near), whole(far))?;
        if let Some((low, high)) = lag.sd_interval() {
            write!(f, ", 95 % interval {low:.0} to {high:.0} ms")?;
        }
    }
    writeln!(f, ")")
}

fn counted(sample: &Sample, what: &str) -> String {
    let many = if sample.count() == 1 { "" } else { "s" };
    format!("{} {what}{many}", sample.count())
}
