//! What is believed of a player's timing: lag, swing and how it scatters. Each is a normal
//! distribution that starts from a prior and follows what is heard.

/// A lag is never taken for more than this part of a pulse: beyond it, a note is heard in another
/// place. Origin: half of an eighth.
const LARGEST_LAG: f64 = 0.25;

/// The part of a lag that notes off the beat have. Origin: soloists delay beats and play
/// off-beats closer to the time (Nelias and others 2022); a half is a round figure.
const OFF_BEAT_LAG: f64 = 0.5;

/// The scatter before anything is heard, in seconds, and how many notes that weighs. Origin: 21.5
/// ms in the mean over the solos of the Weimar Jazz Database (Pfleiderer and others 2017).
const USUAL_SCATTER: f64 = 0.0215;
const SCATTER_NOTES: f64 = 24.0;

/// The scatter is taken to lie between these, in seconds. A line looser than that shows no timing
/// of its own to follow, and is read as a usual player's. Origin: half and about one and a third
/// times the usual one.
const SCATTER: (f64, f64) = (0.012, 0.028);

/// The swung "and" is taken to lie between these, in pulses: from a ratio of .9, a little short
/// and long, to 3.5, the widest of ride cymbals (Friberg and Sundström 2002).
const AND: (f64, f64) = (0.474, 0.778);

/// What a note heard weighs after each later one. Origin: half after 350 notes, some two
/// choruses.
const KEPT: f64 = 0.998;

/// By how much, a note, the usual player is preferred to one with a timing of his own: what can
/// be fitted to a line fits it better than what cannot.
const USUAL_BIAS: f64 = 0.3;

/// A normal belief in one value, as a sum of weighted observations.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Normal {
    prior: (f64, f64),
    weight: f64,
    sum: f64,
}

impl Normal {
    fn new(mean: f64, sd: f64) -> Self {
        Self { prior: (mean, 1.0 / (sd * sd)), weight: 0.0, sum: 0.0 }
    }

    fn mean(&self) -> f64 {
        let (mean, weight) = self.prior;
        (mean * weight + self.sum) / (weight + self.weight)
    }

    fn variance(&self) -> f64 {
        1.0 / (self.prior.1 + self.weight)
    }

    fn take(&mut self, value: f64, weight: f64) {
        self.weight += weight;
        self.sum += weight * value;
    }

    fn forget(&mut self, kept: f64) {
        self.weight *= kept;
        self.sum *= kept;
    }
}

/// A belief in a player's timing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Belief {
    /// In seconds.
    lag: Normal,
    /// Place of the swung "and", in pulses.
    and: Normal,
    /// Notes, and the sum of the squares of how far they were off, in seconds.
    scatter: (f64, f64),
    /// Nothing is learnt: the player is taken for a usual one.
    pub usual: bool,
}

/// Where a note of some kind is expected, in seconds from its pulse, and how it scatters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Expected {
    pub mean: f64,
    pub variance: f64,
}

/// What kind of spot a note is on, as far as timing goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// On the pulse.
    On,
    /// On the "and" of a pulse that may swing.
    And,
    /// Elsewhere, at this place in the pulse.
    At(f64),
}

impl Kind {
    /// The part of the lag that its notes have.
    fn share(self) -> f64 {
        if self == Self::On { 1.0 } else { OFF_BEAT_LAG }
    }
}

impl Belief {
    /// Before anything is heard: mean and standard deviation of the lag, in seconds, and of the
    /// place of the "and".
    pub fn new(lag: (f64, f64), and: (f64, f64)) -> Self {
        Self {
            lag: Normal::new(lag.0, lag.1),
            and: Normal::new(and.0, and.1),
            scatter: (0.0, 0.0),
            usual: false,
        }
    }

    /// That of a usual player.
    pub fn usual(lag: (f64, f64), and: (f64, f64)) -> Self {
        Self { usual: true, ..Self::new(lag, and) }
    }

    /// What is added to the logarithm of every note's likelihood.
    pub fn bias(&self) -> f64 {
        if self.usual { USUAL_BIAS } else { 0.0 }
    }

    /// The lag in seconds, with its standard error.
    pub fn lag(&self) -> (f64, f64) {
        (self.lag.mean(), self.lag.variance().sqrt())
    }

    /// The place of the "and" in the pulse, with its standard error.
    pub fn and(&self) -> (f64, f64) {
        (self.and_mean(), self.and.variance().sqrt())
    }

    fn and_mean(&self) -> f64 {
        self.and.mean().clamp(AND.0, AND.1)
    }

    /// The scatter in seconds.
    pub fn scatter(&self) -> f64 {
        let (count, squares) = self.scatter;
        let usual = SCATTER_NOTES * USUAL_SCATTER * USUAL_SCATTER;
        ((usual + squares) / (SCATTER_NOTES + count)).sqrt().clamp(SCATTER.0, SCATTER.1)
    }

    /// Where a note is expected in a pulse that lasts `pulse` seconds.
    pub fn expected(&self, kind: Kind, pulse: f64) -> Expected {
        let lag = self.lag.mean().clamp(-LARGEST_LAG * pulse, LARGEST_LAG * pulse);
        let (scatter, share) = (self.scatter(), kind.share());
        let variance = scatter * scatter + share * share * self.lag.variance();
        match kind {
            Kind::On => Expected { mean: lag, variance },
            Kind::And => Expected {
                mean: self.and_mean() * pulse + share * lag,
                variance: variance + self.and.variance() * pulse * pulse,
            },
            Kind::At(place) => Expected { mean: place * pulse + share * lag, variance },
        }
    }

    /// Takes in a note that is on such a spot with this probability, and fell so many seconds
    /// after its pulse.
    pub fn take(&mut self, kind: Kind, after: f64, pulse: f64, probability: f64) {
        let (scatter, share) = (self.scatter(), kind.share());
        let weight = probability / (scatter * scatter);
        let away = after - self.expected(kind, pulse).mean;
        match kind {
            Kind::On => self.lag.take(after, weight),
            Kind::And => {
                let off = share * self.lag.mean();
                self.and.take((after - off) / pulse, weight * pulse * pulse);
            }
            Kind::At(place) => {
                self.lag.take((after - place * pulse) / share, weight * share * share);
            }
        }
        self.scatter.0 += probability;
        self.scatter.1 += probability * away * away;
    }

    /// Lets what was heard weigh a little less.
    pub fn forget(&mut self) {
        self.lag.forget(KEPT);
        self.and.forget(KEPT);
        self.scatter.0 *= KEPT;
        self.scatter.1 *= KEPT;
    }

    /// Forgets all that was heard, but keeps where it led to: for reading the whole once more.
    pub fn afresh(&self) -> Self {
        Self {
            lag: Normal { weight: 0.0, sum: 0.0, ..self.lag },
            and: Normal { weight: 0.0, sum: 0.0, ..self.and },
            scatter: (0.0, 0.0),
            usual: self.usual,
        }
    }
}
