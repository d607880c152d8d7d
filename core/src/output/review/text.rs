//! A review in words, for a terminal.

use super::Review;
use crate::melody::RoleCounts;
use crate::output::feel_words;
use crate::output::words::share_of;
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
        feel_words::held_over(feel).iter().try_for_each(|line| writeln!(f, "  {line}"))?;
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
        feel_words::lines(feel).iter().try_for_each(|line| writeln!(f, "  {line}"))?;
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
    share_of(what, share).map_or(Ok(()), |line| writeln!(f, "  {line}"))
}
