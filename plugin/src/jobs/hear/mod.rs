//! Prepares Hear playback on a thread of its own, hands it to the audio thread, and reports its progress.

mod source;

pub use source::HearSource;

use crate::audio::hear_link::HearLink;
use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::view_model::hear::{HearRequest, HearView, NowHeard};
use overbar_core::output::hear::Player;
use overbar_core::quantization::BarLines;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::Beat;
use overbar_core::time::metre_map::POSITION_TOLERANCE;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// If the host asks for no audio for this long, the request is withdrawn: it would sound when nobody expects
/// it.
const PATIENCE: Duration = Duration::from_secs(1);

const NO_AUDIO: &str = "The host does not run this plugin while it is stopped, so nothing can be \
     heard. Let it process audio when stopped.";
const NOTHING_THERE: &str = "Nothing was played there.";

/// The job.
#[derive(Default)]
pub struct HearJob {
    link: Arc<HearLink>,
    state: Arc<Mutex<HearState>>,
    thread: JobThread,
}

#[derive(Default)]
struct HearState {
    /// The number of the newest order.
    number: u64,
    active: Option<ActiveRequest>,
    failure: Option<&'static str>,
}

/// The newest request.
struct ActiveRequest {
    request: HearRequest,
    grid: (Arc<Performance>, Settings),
    /// When it was handed over, until the audio thread takes it.
    waits: Option<Instant>,
}

impl HearJob {
    /// The audio thread's link.
    pub fn link(&self) -> &Arc<HearLink> {
        &self.link
    }

    /// Plays `source`, named by `request`, as soon as it is prepared.
    pub fn start(&self, request: HearRequest, source: HearSource) {
        let mut state = lock(&self.state);
        state.number += 1;
        state.active = Some(ActiveRequest { request, grid: source.grid(), waits: None });
        state.failure = None;
        let number = state.number;
        let (link, mailbox) = (self.link.clone(), self.state.clone());
        let given = self.thread.run(move || {
            let schedule = guard(|| source.schedule()).flatten();
            let mut state = lock(&mailbox);
            if state.number != number {
                // There is a newer request.
                return;
            }
            match schedule {
                Some(schedule) => {
                    if let Some(active) = &mut state.active {
                        active.waits = Some(Instant::now());
                    }
                    link.hand_over(number, Some(Player::new(schedule)));
                }
                None => {
                    state.end(&link);
                    state.failure = Some(NOTHING_THERE);
                }
            }
        });
        if given.is_err() {
            state.end(&self.link);
        }
    }

    /// Stops playback.
    pub fn stop(&self) {
        lock(&self.state).end(&self.link);
    }

    /// Withdraws a request that the host leaves waiting, and frees finished orders. To be called regularly.
    pub fn watch(&self) {
        let mut state = lock(&self.state);
        let number = state.number;
        let Some(active) = &mut state.active else { return };
        if self.link.ended() >= number {
            state.active = None;
            self.link.free();
        } else if self.link.begun() >= number {
            active.waits = None;
        } else if active.waits.is_some_and(|since| since.elapsed() > PATIENCE) {
            self.link.withdraw();
            state.active = None;
            state.failure = Some(NO_AUDIO);
        }
    }

    /// The current state. `blocked` if the host is playing.
    pub fn view(&self, blocked: bool) -> HearView {
        let state = lock(&self.state);
        let active = state.active.as_ref().filter(|_| self.link.ended() < state.number);
        let playing = active.map(|active| {
            let is_begun = self.link.begun() >= state.number;
            let beat = self.link.playhead().filter(|_| is_begun);
            let position = beat.map(|beat| position(beat, &active.grid));
            NowHeard { request: active.request.clone(), beat, position }
        });
        HearView { playing, failure: state.failure.map(str::to_owned), blocked }
    }
}

impl HearState {
    /// Cancels what is playing or about to play.
    fn end(&mut self, link: &HearLink) {
        self.number += 1;
        (self.active, self.failure) = (None, None);
        link.hand_over(self.number, None);
    }
}

/// Bar and felt beat, from 1.
fn position(beat: Beat, (take, settings): &(Arc<Performance>, Settings)) -> (i64, u8) {
    let lines = BarLines::new(&take.metres, settings);
    let beat = beat + POSITION_TOLERANCE;
    let bar = lines.bar_at(beat);
    let (pulse, _) = lines.pulse_of(bar.metre);
    let pulses = ((beat - bar.start).0 / pulse.0).floor().clamp(0.0, 63.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 63")]
    let pulses = pulses as u8;
    (bar.number, pulses + 1)
}
