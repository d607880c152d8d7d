//! Tracks the band's beat in the sound that the audio thread copies, and publishes it to the soloists.
//!
//! The beat starts with a count-in of four taps if the beat source is taps, or else with the host's tempo at
//! the first bar line after the host starts. From then on the host's grid only serves to say where in the
//! song a beat was.

use crate::audio::sound::SoundBlock;
use crate::runtime::job_thread::JobThread;
use crate::worker::bands::{Band, BeatOnHost, Settled};
use crate::worker::beside::beats_of;
use overbar_core::grid::COUNT_IN;
use overbar_core::grid::band::{
    BandBeat, BandCountIn, BandFollower, BandHearing, BandTake, HOP_SECONDS, Hop, KnownBeat,
    OnsetStrength,
};
use overbar_core::session::Session;
use overbar_core::session::own_beat::UnderWay;
use overbar_core::time::tempo_map::TempoMap;
use overbar_core::time::{Beat, Second, SecondSpan};
use std::sync::Arc;

/// Sound that begins this long after the last block is not contiguous with it, in seconds.
const GAP: f64 = 0.000_5;

/// Tracks the band's beat.
pub struct BandListener {
    band: Arc<Band>,
    hearing: Option<Heard>,
    pass: Option<Pass>,
    /// The beat starts with taps.
    from_taps: bool,
    jobs: JobThread,
}

/// Contiguous sound.
struct Heard {
    hearing: BandHearing,
    rate: u32,
    start: Second,
    samples: u64,
    hops: u64,
}

/// Since the host started playing.
struct Pass {
    host: UnderWay,
    /// The host's tempo so far.
    tempo: TempoMap,
    taps: Vec<Second>,
    count_in: Option<BandCountIn>,
    follower: Option<BandFollower>,
    /// The hops since the count-in, and the time of the first.
    hops: Vec<Hop>,
    first_hop: Second,
    known: Vec<KnownBeat>,
    /// Taps during tracking, without a gap of two beats.
    row: Vec<Second>,
    /// Sound was dropped during tracking.
    is_lost: bool,
}

impl Heard {
    #[expect(clippy::cast_precision_loss, reason = "exact for 5,000 years of samples")]
    fn end(&self) -> Second {
        self.start + SecondSpan(self.samples as f64 / f64::from(self.rate))
    }

    /// The time of the next hop.
    #[expect(clippy::cast_precision_loss, reason = "exact for a million years of hops")]
    fn next_hop(&self) -> Second {
        let hops = SecondSpan(self.hops as f64 * HOP_SECONDS);
        self.start + SecondSpan(self.hearing.first_hop().0) + hops
    }
}

impl BandListener {
    /// A new band, which soloists can find.
    pub fn new() -> Self {
        Self {
            band: Band::register(),
            hearing: None,
            pass: None,
            from_taps: false,
            jobs: JobThread::default(),
        }
    }

    /// The band, as soloists see it.
    pub fn band(&self) -> &Arc<Band> {
        &self.band
    }

    /// Sets its pair, and whether the beat starts with taps.
    pub fn set(&mut self, pair: u8, from_taps: bool) {
        self.band.pair_with(pair);
        self.from_taps = from_taps;
    }

    /// Starts over when the host started playing or jumped.
    fn restart_with_host(&mut self, session: &Session) {
        let now = session.under_way();
        if now.map(|now| now.id) == self.pass.as_ref().map(|pass| pass.host.id) {
            if let (Some(pass), Some(tempo)) = (&mut self.pass, session.host_tempo())
                && pass.tempo.knots().last() != tempo.knots().last()
            {
                pass.tempo.clone_from(tempo);
            }
            return;
        }
        self.settle();
        self.pass = now.map(|host| {
            let bar = host.metre.bar().0;
            let line = Beat((host.start.0 / bar - EARLY).ceil() * bar);
            let one = host.began + host.tempo.seconds(line - host.start);
            let period = host.tempo.seconds(host.metre.pulse());
            let by_host = BandCountIn::at(one, period, host.metre);
            self.band.begin(host.start, host.metre);
            let count_in = by_host.filter(|_| !self.from_taps);
            Pass {
                host,
                tempo: session.host_tempo().cloned().unwrap_or_default(),
                taps: Vec::new(),
                count_in,
                follower: None,
                hops: Vec::new(),
                first_hop: Second::default(),
                known: Vec::new(),
                row: Vec::new(),
                is_lost: false,
            }
        });
    }

    /// Settles the finished pass on a thread of its own.
    fn settle(&mut self) {
        let (Some(pass), Some(number)) = (self.pass.take(), self.band.number()) else { return };
        let Pass { count_in: Some(count_in), hops, first_hop, known, tempo, .. } = pass else {
            return;
        };
        let band = self.band.clone();
        let work = move || {
            let take = BandTake::new(count_in, first_hop, &hops);
            let strength = OnsetStrength::of(first_hop, &hops);
            if let Some(anchors) = take.anchors(&take.beats(&known), &known) {
                band.settle(Settled { number, anchors, host: tempo, strength });
            }
        };
        if self.jobs.run(work).is_err() {
            // If that fails, the take keeps its live beats.
        }
    }

    /// Adds a tap.
    pub fn tap(&mut self, at: Second) {
        let Some(pass) = self.pass.as_mut().filter(|pass| !pass.is_lost) else { return };
        match (&pass.count_in, &mut pass.follower) {
            (Some(_), Some(_)) => pass.add_tap(at),
            (Some(_), None) => {}
            (None, _) => {
                pass.taps.push(at);
                if pass.taps.len() > COUNT_IN {
                    pass.taps.remove(0);
                }
                pass.count_in = BandCountIn::of_taps(&pass.taps, pass.host.metre);
            }
        }
    }

    /// Processes sound. `session` has the host's position; it receives the progress of the count-in.
    pub fn hear(&mut self, block: &SoundBlock, mono: &[f32], session: &mut Session) {
        let goes_on =
            |heard: &Heard| heard.rate == block.rate && (heard.end() - block.at).0.abs() < GAP;
        if !self.hearing.as_ref().is_some_and(goes_on) {
            let hearing = BandHearing::new(block.rate).ok();
            self.hearing = hearing.map(|hearing| Heard {
                hearing,
                rate: block.rate,
                start: block.at,
                samples: 0,
                hops: 0,
            });
            // Beats cannot be counted across a gap: no more are published until the host starts again.
            if let Some(pass) = &mut self.pass {
                pass.is_lost |= pass.follower.take().is_some();
            }
        }
        self.restart_with_host(session);
        self.add_soloists_taps(session);
        if let Some(span) = beats_of(block, session) {
            self.band.add_sound(span, block.rate, mono);
        }
        if let Some(pass) = &mut self.pass {
            pass.restart_count_in(block.at);
            session.count_in_band(if pass.count_in.is_some() { COUNT_IN } else { pass.taps.len() });
        }
        let Some(heard) = &mut self.hearing else { return };
        let mut next = heard.next_hop();
        let mut hops = 0;
        let (band, pass) = (&self.band, &mut self.pass);
        heard.hearing.push(mono, |hop| {
            if let Some(pass) = pass.as_mut().filter(|pass| !pass.is_lost) {
                if let (None, Some(count_in)) = (&pass.follower, pass.count_in) {
                    pass.follower = Some(BandFollower::new(count_in, next));
                    (pass.first_hop, pass.hops) = (next, Vec::new());
                }
                pass.hops.push(hop);
                if let Some(follower) = &mut pass.follower {
                    follower.hear(hop, |beat| publish(band, session, &beat));
                }
            }
            next = next + SecondSpan(HOP_SECONDS);
            hops += 1;
        });
        heard.hops += hops;
        heard.samples += mono.len() as u64;
    }

    /// Soloists' taps are beats too.
    fn add_soloists_taps(&mut self, session: &Session) {
        let taps = self.band.take_taps();
        let Some(pass) = &mut self.pass else { return };
        for at in taps.into_iter().filter_map(|tap| session.second_on_host(tap)) {
            pass.add_tap(at);
        }
    }
}

/// Taps more than `APART` beats apart belong to different runs; four taps followed by `ALONE` beats of
/// silence are a count-in. Continued tapping only says where beats are.
const APART: f64 = 2.0;
const ALONE: f64 = 1.5;

impl Pass {
    /// A tap during tracking marks a beat.
    fn add_tap(&mut self, at: Second) {
        let Some(follower) = &mut self.follower else { return };
        let Some((_, period)) = follower.now() else { return };
        let known = KnownBeat { at, pulse: None };
        follower.observe(known);
        self.known.push(known);
        if self.row.last().is_some_and(|last| (at - *last).0 > APART * period.0) {
            self.row.clear();
        }
        self.row.push(at);
    }

    /// Exactly four taps count in again while the band plays: the beat after them is beat one.
    fn restart_count_in(&mut self, now: Second) {
        let Some(follower) = &mut self.follower else { return };
        let (Some((_, period)), Some(last)) = (follower.now(), self.row.last()) else { return };
        if self.row.len() != COUNT_IN || (now - *last).0 <= ALONE * period.0 {
            return;
        }
        let counted = follower.counted_in(&self.row);
        self.row.clear();
        if let Some(counted) = counted {
            follower.observe(counted);
            if let Some(known) = self.known.last_mut() {
                *known = counted;
            }
        }
    }
}

/// A host that starts within this fraction of a bar after a bar line is on the line.
const EARLY: f64 = 1e-3;

fn publish(band: &Band, session: &Session, beat: &BandBeat) {
    let BandBeat { pulse, at, period, confidence, .. } = *beat;
    if let (Some(at), Some(next)) = (session.beat_on_host(at), session.beat_on_host(at + period)) {
        band.add(BeatOnHost { at, next, pulse, confidence });
    }
}
