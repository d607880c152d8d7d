//! What the rules find in a take, with the evidence.

use super::measure::Measure;
use super::measures::Measures;
use super::norm::{self, Norm, norm};
use super::places::bars_to_listen_to;
use super::rules::{self, Family, RULES, Rule, RuleId, Verdict};
use super::spans::BarSpan;
use super::suggestion::Suggestion;
use crate::analysis::take_analysis::TakeAnalysis;
use serde::Serialize;

/// So many points at most, and as many things that went well. Origin: teaching practice, no
/// source.
pub const MOST_POINTS: usize = 3;

/// A figure as it was counted, and the norm it is held against.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Evidence {
    /// The figure.
    pub measure: Measure,
    /// Its value: a share from 0 to 1, of the lag milliseconds.
    pub value: f64,
    /// How many have it; null of the lag.
    pub count: Option<u32>,
    /// Of how many.
    pub of: u32,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Of the lag, how many milliseconds notes are behind the beat itself; else null.
    pub behind_the_beat_ms: Option<f64>,
    /// What recorded solos do.
    pub norm: Norm,
    /// Where that is from.
    pub source: &'static str,
}

/// A point to work on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Point {
    /// Its rule.
    pub rule: RuleId,
    /// What was heard.
    pub heard: &'static str,
    /// The evidence.
    pub evidence: Evidence,
    /// What to practise.
    pub suggestion: Suggestion,
    /// Bars to listen to, in order; none of several takes together.
    pub bars: Vec<BarSpan>,
}

/// Something that went well.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Well {
    /// The rule that would speak if it did not.
    pub rule: RuleId,
    /// What was heard.
    pub heard: &'static str,
    /// The evidence.
    pub evidence: Evidence,
}

/// A rule that was silent because too little was counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct TooFew {
    /// The rule.
    pub rule: RuleId,
    /// So many were counted.
    pub count: u32,
    /// So many it needs.
    pub least: u32,
}

/// What to work on next.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Advice {
    /// At most [`MOST_POINTS`], the first first.
    pub points: Vec<Point>,
    /// At most as many things that went well.
    pub went_well: Vec<Well>,
    /// Rules that had too little to go by.
    pub too_few: Vec<TooFew>,
    /// Some was not in four quarters, so that no rule spoke.
    pub other_metre: bool,
    /// Enough was heard for every rule about phrases, and none spoke.
    pub nothing_to_fix: bool,
}

/// Advice on a take, with the bars to listen to.
#[must_use]
pub fn advise(analysis: &TakeAnalysis) -> Advice {
    let mut advice = advise_on(&Measures::of(analysis));
    for point in &mut advice.points {
        point.bars = bars_to_listen_to(point.rule, analysis);
    }
    advice
}

/// Advice on counts, of one take or several together.
#[must_use]
pub fn advise_on(measures: &Measures) -> Advice {
    if measures.other_metre {
        return Advice { other_metre: true, ..Advice::default() };
    }
    let mut advice = Advice::default();
    let mut told: Vec<Family> = Vec::new();
    let mut spoke = false;
    for rule in &RULES {
        let verdict = rule.judge(measures);
        spoke |= verdict == Verdict::Speaks;
        let new = !told.contains(&rule.family);
        match verdict {
            Verdict::TooFew => advice.too_few.push(TooFew {
                rule: rule.id,
                count: measures.count_of(rule.measure),
                least: rule.least,
            }),
            Verdict::Speaks if new && advice.points.len() < MOST_POINTS => {
                if let Some(evidence) = evidence(rule, measures) {
                    told.push(rule.family);
                    advice.points.push(Point {
                        rule: rule.id,
                        heard: rule.heard,
                        evidence,
                        suggestion: (rule.suggest)(measures),
                        bars: Vec::new(),
                    });
                }
            }
            Verdict::Well if advice.went_well.len() < MOST_POINTS => {
                if let (Some(heard), Some(evidence)) = (rule.well, evidence(rule, measures)) {
                    advice.went_well.push(Well { rule: rule.id, heard, evidence });
                }
            }
            _ => {}
        }
    }
    let phrase_rules_heard = !advice.too_few.iter().any(|few| few.least == rules::LEAST_PHRASES);
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
