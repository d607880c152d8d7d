//! The weights of the models, from `weights.txt`. Each line has a set, a feature and a weight.

use super::features::{Feature, NAMES};
use super::hindsight::Hindsight;

const TABLE: &str = include_str!("weights.txt");

/// The weights of one model.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Weights {
    bias: f64,
    threshold: f64,
    features: Vec<(Feature, f64)>,
}

impl Weights {
    /// The model of this grade; `gate` is for notes whose ends mean nothing.
    pub fn of(hindsight: Hindsight, gate: bool) -> Self {
        let mut weights = Self::default();
        for (set, name, weight) in rows() {
            if (set.strip_prefix("gate-"), gate) != (Some(hindsight.name()), true)
                && (set, gate) != (hindsight.name(), false)
            {
                continue;
            }
            match (name, NAMES.iter().find(|(known, _)| *known == name)) {
                ("bias", _) => weights.bias = weight,
                ("threshold", _) => weights.threshold = weight,
                (_, Some((_, feature))) => weights.features.push((*feature, weight)),
                // The test below checks that this never happens.
                (_, None) => {}
            }
        }
        weights
    }

    /// Log odds when every feature is 0.
    pub fn bias(&self) -> f64 {
        self.bias
    }

    /// The lowest probability at which a phrase starts.
    pub fn threshold(&self) -> f64 {
        self.threshold
    }

    /// Its features with their weights.
    pub fn features(&self) -> impl Iterator<Item = (Feature, f64)> {
        self.features.iter().copied()
    }
}

fn rows() -> impl Iterator<Item = (&'static str, &'static str, f64)> {
    TABLE.lines().filter(|line| !line.starts_with('#')).filter_map(|line| {
        let mut words = line.split_whitespace();
        Some((words.next()?, words.next()?, words.next()?.parse().ok()?))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_understood_and_used() {
        let lines = TABLE.lines().filter(|l| !l.starts_with('#') && !l.trim().is_empty()).count();
        assert_eq!(rows().count(), lines);
        let mut used = 0;
        for hindsight in Hindsight::ALL {
            for gate in [false, true] {
                let weights = Weights::of(hindsight, gate);
                assert!(weights.threshold > 0.0 && weights.threshold < 1.0 && weights.bias != 0.0);
                used += weights.features.len() + 2;
            }
        }
        assert_eq!(used, lines);
    }
}
