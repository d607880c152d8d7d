//! A day of eight hours through a session and its keeper.

use crate::counting;
use fastrand::Rng;
use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::session::Session;
use overbar_core::time::Second;
use overbar_core::time::transport::TransportPoint;
use overbar_library::new_take_id;
use overbar_library::project::pack_project;
use overbar_library::take_store::TakeStore;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// Notes of the day, over eight hours.
pub const NOTES: u32 = 300_000;
const SECONDS: f64 = 8.0 * 3_600.0;

/// What came of it, in bytes beyond what there was before the instance.
pub struct Day {
    /// The most bytes allocated at once.
    pub peak: usize,
    /// What was allocated at the end.
    pub at_the_end: usize,
    /// The most that the process held in memory, as looked at between notes and after each save.
    pub resident: Option<usize>,
    /// Bytes of the last saved project.
    pub saved: usize,
    /// The longest time to save it.
    pub longest_save: Duration,
}

struct Instance {
    session: Session,
    keeper: TakeStore,
    random: Rng,
    at: f64,
    resident: Option<usize>,
    saved: usize,
    longest_save: Duration,
}

impl Day {
    /// Plays the day in so many takes of one length, and saves every quarter of an hour.
    pub fn played(takes: u32) -> Self {
        let library = library(takes);
        let (before, resident) = (counting::now(), counting::resident());
        counting::begin();
        let mut instance = Instance::new(library);
        for take in 0..takes {
            instance.play(NOTES / takes, take);
        }
        instance.save();
        let notes = |take: &overbar_core::take::Take| take.performance.soloist.notes().len();
        let kept: usize = instance.session.takes().iter().map(notes).sum();
        assert_eq!((instance.session.takes().len(), kept), (takes as usize, NOTES as usize));
        let (peak, at_the_end) = (counting::peak(), counting::now());
        instance.keeper.close(&instance.session);
        Self {
            peak: peak - before,
            at_the_end: at_the_end - before,
            resident: resident.zip(instance.resident).map(|(from, to)| to.saturating_sub(from)),
            saved: instance.saved,
            longest_save: instance.longest_save,
        }
    }
}

/// A library that is not there yet.
fn library(takes: u32) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("memory-{takes}"));
    match std::fs::remove_dir_all(&folder) {
        Err(why) if why.kind() != std::io::ErrorKind::NotFound => panic!("{why}"),
        _ => {}
    }
    std::fs::create_dir_all(&folder).expect("the folder can be made");
    folder.join("takes.db")
}

impl Instance {
    fn new(library: PathBuf) -> Self {
        let mut session = Session::default();
        session.ids_from(new_take_id());
        let mut keeper = TakeStore::default();
        keeper.start(library).expect("a thread");
        let longest_save = Duration::ZERO;
        let random = Rng::with_seed(11);
        Self { session, keeper, random, at: 0.0, resident: None, saved: 0, longest_save }
    }

    /// Plays a take of so many notes: phrases of seven to sixteen, at a steady pace with rests.
    fn play(&mut self, notes: u32, take: u32) {
        /// Between notes in phrases, in seconds; rests take as long as is left of the day.
        const STEP: f64 = 0.083;
        let step = SECONDS / f64::from(NOTES);
        let began = self.at;
        self.tell(began, true, began);
        for note in 0..notes {
            let in_phrase = note % 12;
            let at = began + f64::from(note - in_phrase) * step + f64::from(in_phrase) * STEP;
            if note % 3 == 0 {
                self.tell(at, true, began);
            }
            let (key, channel) = (Some(48 + self.random.u8(..36)), Some(0));
            let velocity = f32::from(self.random.u8(40..110)) / 127.0;
            let late = self.random.f64() * 0.015;
            let (on, off) = (grid(at + late), grid(at + late + 0.06));
            self.session.push(Event::On(NoteOn { at: on, beat: None, key, channel, velocity }));
            self.session.push(Event::Off(NoteOff { at: off, beat: None, key, channel }));
            self.at = off.0;
            if note % 16 == 0 {
                std::hint::black_box(self.session.snapshot());
            }
            if note % 512 == 0 {
                self.keeper.record(&self.session);
                self.look_at_memory();
            }
            if note % (NOTES / 32) == NOTES / 32 - 1 {
                self.save();
            }
        }
        self.at += 2.0;
        self.tell(self.at, false, began);
        // What is shown of it now is heard whole.
        std::hint::black_box(self.session.snapshot());
        self.look_at_memory();
        self.keeper.record(&self.session);
        if take % 4 == 3 {
            self.save();
        }
    }

    fn tell(&mut self, at: f64, rolling: bool, began: f64) {
        self.session.push(Event::Transport(TransportPoint {
            at: grid(at),
            block_before: Some(grid(at - 0.01)),
            beat: Some((grid(at).0 - grid(began).0) * 2.5),
            tempo: Some(150.0),
            metre: Some((4, 4)),
            rolling,
            ..TransportPoint::default()
        }));
    }

    fn save(&mut self) {
        // The quickest of three, as other programs hold up some.
        let times = [0; 3].map(|_| {
            let began = Instant::now();
            let saved = pack_project(&self.keeper.copy_project(&self.session).pack());
            self.saved = saved.len();
            began.elapsed()
        });
        let quickest = times.into_iter().min().unwrap_or_default();
        self.longest_save = self.longest_save.max(quickest);
        self.look_at_memory();
    }

    fn look_at_memory(&mut self) {
        self.resident = self.resident.max(counting::resident());
    }
}

/// On the sample clock of a host.
fn grid(second: f64) -> Second {
    const RATE: f64 = 48_000.0;
    Second((second * RATE).round() / RATE)
}
