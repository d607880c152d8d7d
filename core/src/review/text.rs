//! A review in words, for a terminal.

use super::Review;
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
        write_share(f, "come in off the beat", &figures.off_beat_entries)?;
        write_share(f, "come in on beat one", &figures.beat_one_entries)?;
        write_share(f, "leave off the beat", &figures.off_beat_exits)?;
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
        for alert in &self.alerts {
            writeln!(f, "  from bar {}: {}", alert.alert.bar, alert.heard)?;
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
