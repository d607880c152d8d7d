//! A review in words, for a terminal.

use super::Review;
use crate::melody::RoleCounts;
use crate::output::feel_words;
use crate::output::words::share_of;
use crate::stats::Share;
use crate::take::grid_summary::GridSummary;
use core::fmt;

impl fmt::Display for Review {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let figures = &self.figures.figures;
        writeln!(f, "{}", self.file)?;
        let (notes, phrases) = (self.notes, figures.phrases);
        let (of_notes, of_phrases) = (many(notes == 1), many(phrases == 1));
        let heard = if self.recording.is_some() { "heard " } else { "" };
        writeln!(f, "  {notes} {heard}note{of_notes}, {phrases} phrase{of_phrases}")?;
        let remarks = self.recording.iter().flat_map(|recording| &recording.remarks);
        remarks.into_iter().try_for_each(|remark| writeln!(f, "  {remark}"))?;
        let grid = self.grid.iter().flat_map(GridSummary::lines);
        grid.into_iter().try_for_each(|line| writeln!(f, "  {line}"))?;
        write_roles(f, &self.roles)?;
        write_share(f, "off-beat starts", &figures.off_beat_entries)?;
        write_share(f, "starts on beat one", &figures.beat_one_entries)?;
        write_share(f, "off-beat endings", &figures.off_beat_exits)?;
        let feel = &self.figures.feel;
        feel_words::held_over(feel).iter().try_for_each(|line| writeln!(f, "  {line}"))?;
        if self.figures.few_phrases {
            writeln!(f, "  small sample: treat percentages with care")?;
        }
        if let Some(lengths) = &figures.lengths {
            writeln!(
                f,
                "  typical length: {:.1} bars (middle 50 % {:.1}\u{2013}{:.1}; longest {:.1})",
                lengths.bars.median, lengths.bars.lower, lengths.bars.upper, lengths.bars.longest
            )?;
        }
        if let Some(rest) = figures.rest_share {
            writeln!(f, "  space: {:.0} % of the time at rest", rest * 100.0)?;
        }
        feel_words::lines(feel).iter().try_for_each(|line| writeln!(f, "  {line}"))?;
        for alert in &self.alerts {
            let about =
                if self.grid.as_ref().is_some_and(|grid| grid.about) { "about " } else { "" };
            writeln!(f, "  from {about}bar {}: {}", alert.alert.bar, alert.heard)?;
        }
        if let Some(taught) = &self.taught {
            let (finer, count) = (taught.finer, taught.corrections);
            let of_corrections = many(count == 1);
            writeln!(
                f,
                "  learned from {count} correction{of_corrections}: phrase sensitivity {finer:+.2}"
            )?;
        }
        let odd = self.oddities.total();
        if odd > 0 {
            let named = self.oddities.named();
            let found: Vec<String> = named
                .iter()
                .filter(|(_, count)| *count > 0)
                .map(|(name, count)| format!("{name}: {count}"))
                .collect();
            writeln!(f, "  MIDI glitches: {}", found.join("; "))?;
        }
        Ok(())
    }
}

fn many(one: bool) -> &'static str {
    if one { "" } else { "s" }
}

/// Notes outside the line, if any.
fn write_roles(f: &mut fmt::Formatter<'_>, roles: &RoleCounts) -> fmt::Result {
    let RoleCounts { ornaments, glitches, under, .. } = roles;
    if *under > 0 {
        writeln!(f, "  ignored: {under} accompaniment note{}", many(*under == 1))?;
    }
    if *glitches > 0 {
        writeln!(
            f,
            "  ignored: {glitches} stray note{} (glitches, double triggers)",
            many(*glitches == 1)
        )?;
    }
    if *ornaments > 0 {
        writeln!(f, "  grace notes: {ornaments}")?;
    }
    Ok(())
}

fn write_share(f: &mut fmt::Formatter<'_>, what: &str, share: &Share) -> fmt::Result {
    share_of(what, share).map_or(Ok(()), |line| writeln!(f, "  {line}"))
}
