//! The findings of the rules, with their evidence.

use super::measure::Measure;
use super::measures::Measures;
use super::norm::{self, Norm, norm};
use super::places::bars_to_listen_to;
use super::rules::{self, Family, RULES, Rule, RuleId, Verdict};
use super::spans::BarSpan;
use super::suggestion::Suggestion;
use crate::analysis::take_analysis::TakeAnalysis;
use serde::Serialize;

/// Most points, and most things that went well. Origin: teaching practice, no source.
pub const MAX_POINTS: usize = 3;

/// A figure and the norm it is compared with.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Evidence {
    /// The figure.
    pub measure: Measure,
    /// Its value: a share from 0 to 1, or milliseconds of lag.
    pub value: f64,
    /// The count behind a share; null for the lag.
    pub count: Option<u32>,
    /// The total.
    pub of: u32,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// For the lag, milliseconds behind the beat itself; else null.
    pub behind_the_beat_ms: Option<f64>,
    /// The norm of recorded solos.
    pub norm: Norm,
    /// Its source.
    pub source: &'static str,
}

/// A point to work on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Point {
    /// Its rule.
    pub rule: RuleId,
    /// The finding in a sentence.
    pub heard: &'static str,
    /// The evidence.
    pub evidence: Evidence,
    /// What to practise.
    pub suggestion: Suggestion,
    /// Bars to listen to, in order; empty for several takes together.
    pub bars: Vec<BarSpan>,
    /// It rests on beats that are approximate.
    pub about: bool,
}

/// Something that went well.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Well {
    /// The rule that would otherwise fire.
    pub rule: RuleId,
    /// The finding in a sentence.
    pub heard: &'static str,
    /// The evidence.
    pub evidence: Evidence,
    /// It rests on beats that are approximate.
    pub about: bool,
}

/// A rule that was silent because too little was counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct TooFew {
    /// The rule.
    pub rule: RuleId,
    /// The count.
    pub count: u32,
    /// The count it needs.
    pub least: u32,
}

/// What to work on next.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Advice {
    /// At most `MAX_POINTS`, the most important first.
    pub points: Vec<Point>,
    /// What went well, at most as many.
    pub went_well: Vec<Well>,
    /// Rules with too small a count.
    pub too_few: Vec<TooFew>,
    /// Not all of it is in 4/4: no rule fired.
    pub other_metre: bool,
    /// Every rule about phrases had a large enough count, and none fired.
    pub nothing_to_fix: bool,
    /// Bars and positions of at least one take are approximate.
    pub about: bool,
}

/// Advice on a take, with the bars to listen to.
pub fn advise(analysis: &TakeAnalysis) -> Advice {
    let mut advice = advise_on(&Measures::of(analysis));
    for point in &mut advice.points {
        point.bars = bars_to_listen_to(point.rule, analysis);
    }
    advice
}

/// Advice on the measures of one take or several together.
pub fn advise_on(measures: &Measures) -> Advice {
    if measures.other_metre {
        return Advice { other_metre: true, ..Advice::default() };
    }
    let mut advice = Advice { about: measures.approximate > 0, ..Advice::default() };
    let mut families: Vec<Family> = Vec::new();
    let mut spoke = false;
    for rule in &RULES {
        let about = advice.about && rule.id.rests_on_beats();
        let verdict = rule.judge(measures);
        spoke |= verdict == Verdict::Speaks;
        let new = !families.contains(&rule.family);
        match verdict {
            Verdict::TooFew => advice.too_few.push(TooFew {
                rule: rule.id,
                count: measures.count_of(rule.measure),
                least: rule.least,
            }),
            Verdict::Speaks if new && advice.points.len() < MAX_POINTS => {
                if let Some(evidence) = evidence(rule, measures) {
                    families.push(rule.family);
                    advice.points.push(Point {
                        rule: rule.id,
                        heard: rule.heard,
                        evidence,
                        suggestion: (rule.suggest)(measures),
                        bars: Vec::new(),
                        about,
                    });
                }
            }
            Verdict::Well if advice.went_well.len() < MAX_POINTS => {
                if let (Some(heard), Some(evidence)) = (rule.well, evidence(rule, measures)) {
                    advice.went_well.push(Well { rule: rule.id, heard, evidence, about });
                }
            }
            _ => {}
        }
    }
    let phrase_rules_heard = !advice.too_few.iter().any(|few| few.least == rules::MIN_PHRASES);
    advice.nothing_to_fix = !spoke && phrase_rules_heard;
    advice
}

fn evidence(rule: &Rule, measures: &Measures) -> Option<Evidence> {
    let measure = rule.measure;
    let (low, high) = measures.interval(measure)?;
    let lag = (measure == Measure::Lag).then(|| measures.lag_ms.mean()).flatten();
    Some(Evidence {
        measure,
        value: measures.value(measure)?,
        count: measures.share(measure).map(|share| share.count),
        of: measures.count_of(measure),
        low,
        high,
        behind_the_beat_ms: lag,
        norm: norm(measure),
        source: norm::SOURCE,
    })
}
