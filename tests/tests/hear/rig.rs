//! A plugin in a host that has stopped after a take, and what comes out of it then.

use overbar::command::Command;
use overbar::host::inspect::last_made_here;
use overbar::view_model::hear::{HearRequest, HearWhat};
use overbar::worker::shared::Shared;
use overbar_core::input::note::Note;
use overbar_core::take::TakeId;
use overbar_tests::host::{
    BareVst3, Block, ClapRig, EventKind, Host, HostEvent, Outputs, Player, parameter_number,
};
use overbar_tests::live;
use overbar_tests::song::Song;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A millisecond.
pub const MS: i64 = 48;
/// The peak of the tone at first: 24 dB below full scale.
pub const LOW: f32 = 0.0631;

/// The linked plugin in a host.
pub enum Rig {
    Clap(Box<ClapRig>),
    Vst3(Box<BareVst3>),
}

impl Rig {
    pub fn process(&mut self, block: &Block) -> (Vec<f32>, Vec<HostEvent>) {
        match self {
            Self::Clap(host) => {
                let heard = host.process(block);
                assert_eq!((heard.unwritten(), &heard.left), (0, &heard.right));
                (heard.left, heard.events)
            }
            Self::Vst3(host) => {
                let (mut samples, events) = host.process_with_events(block, Outputs::Stereo);
                let right = samples.split_off(block.frames);
                assert_eq!(samples, right);
                (samples, events)
            }
        }
    }
}

/// A plugin in which the song was played, and the host has stopped.
pub struct Played {
    pub rig: Rig,
    pub shared: Arc<Shared>,
    pub player: Player,
    pub take: TakeId,
    pub notes: Vec<Note>,
}

/// Short notes over bars 2 and 3, none near another, off the grid by various amounts.
pub fn song() -> Song {
    (0..9_u8).fold(Song::steady(120.0, 4, 4), |song, number| {
        let at = f64::from(number);
        let mut song = song.with_note(4.0 + 0.83 * at, 0.25 + 0.02 * at, 55 + 3 * number);
        let note = song.notes.last_mut().unwrap();
        (note.velocity, note.channel) = (0.4 + 0.05 * f32::from(number), number % 2);
        song
    })
}

pub fn wait_until(what: &str, done: impl Fn() -> bool) {
    let began = Instant::now();
    while !done() {
        assert!(began.elapsed() < Duration::from_secs(60), "{what}");
        std::thread::sleep(Duration::from_millis(1));
    }
}

pub fn clap() -> (Rig, Arc<Shared>) {
    let mut host = ClapRig::linked().unwrap();
    let shared = last_made_here().unwrap();
    host.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    (Rig::Clap(Box::new(host)), shared)
}

pub fn vst3() -> (Rig, Arc<Shared>) {
    let host = BareVst3::new(live::RATE, live::LONGEST_BLOCK).unwrap();
    (Rig::Vst3(Box::new(host)), last_made_here().unwrap())
}

pub fn played((mut rig, shared): (Rig, Arc<Shared>)) -> Played {
    let mut player = Player::new(&song(), live::RATE, 0.0);
    let blocks: Vec<Block> = player.blocks_until(14.0, std::iter::repeat(512)).collect();
    for block in &blocks {
        rig.process(block);
    }
    rig.process(&player.stopped(512));
    wait_until("the take is over", || shared.session().takes().len() == 1);
    let (take, notes) = {
        let session = shared.session();
        let take = &session.takes()[0];
        (take.id, take.performance.soloist.notes().to_vec())
    };
    assert_eq!(notes.len(), 9);
    Played { rig, shared, player, take, notes }
}

pub fn both() -> [(&'static str, Played); 2] {
    [("CLAP", played(clap())), ("VST3", played(vst3()))]
}

/// What came out of stopped blocks.
#[derive(Default)]
pub struct Out {
    pub samples: Vec<f32>,
    pub events: Vec<(i64, EventKind)>,
}

impl Out {
    pub fn add(&mut self, (samples, events): (Vec<f32>, Vec<HostEvent>)) {
        let now = self.samples.len() as i64;
        self.events.extend(events.iter().map(|e| (now + i64::from(e.offset), e.kind)));
        self.samples.extend(samples);
    }

    pub fn ons(&self) -> Vec<(i64, i16, i16, f64)> {
        let on = |(at, kind): &(i64, EventKind)| match *kind {
            EventKind::NoteOn { key, channel, velocity } => Some((*at, key, channel, velocity)),
            _ => None,
        };
        self.events.iter().filter_map(on).collect()
    }

    /// Keys and channels that still sound.
    pub fn hanging(&self) -> Vec<(i16, i16)> {
        let mut sounding = Vec::new();
        for (_, kind) in &self.events {
            match *kind {
                EventKind::NoteOn { key, channel, .. } => sounding.push((key, channel)),
                EventKind::NoteOff { key, channel, .. } => {
                    sounding.retain(|note| *note != (key, channel));
                }
                _ => {}
            }
        }
        sounding
    }

    pub fn peak(&self) -> f32 {
        self.samples.iter().fold(0.0, |peak, sample| peak.max(sample.abs()))
    }
}

impl Played {
    pub fn hear(&self, what: HearWhat) {
        let called = "the notes".to_owned();
        self.shared.panel.send(Command::Hear(Box::new(HearRequest { what, called })));
        let hear = &self.shared.publisher.hear;
        wait_until("it is asked for", || hear.view(false).playing.is_some());
    }

    pub fn set(&mut self, id: &str, fraction: f64) {
        let Rig::Clap(host) = &mut self.rig else { panic!("only in CLAP") };
        let number = parameter_number(id);
        let value = host.parameters().iter().find(|p| p.id == number).unwrap().at(fraction);
        host.set_parameter(number, value);
    }

    pub fn is_heard(&self) -> bool {
        self.shared.publisher.hear.view(false).playing.is_some()
    }

    /// Stopped blocks until the first note comes.
    pub fn until_it_sounds(&mut self) -> Out {
        let began = Instant::now();
        loop {
            let mut out = Out::default();
            out.add(self.rig.process(&self.player.stopped(512)));
            if !out.ons().is_empty() {
                return out;
            }
            assert!(began.elapsed() < Duration::from_secs(20), "nothing is heard");
            std::thread::sleep(Duration::from_millis(1));
        }
    }

    /// The same, then more blocks of these sizes.
    pub fn listen(&mut self, samples: usize, sizes: impl Iterator<Item = usize>) -> Out {
        let mut out = self.until_it_sounds();
        for frames in sizes {
            if out.samples.len() >= samples {
                break;
            }
            out.add(self.rig.process(&self.player.stopped(frames)));
        }
        out
    }

    /// Samples from the first note of the take to each.
    pub fn due(&self, slower: f64) -> Vec<i64> {
        let first = self.notes[0].on.second.0;
        let samples = |note: &Note| (note.on.second.0 - first) * live::RATE * slower;
        self.notes.iter().map(|note| samples(note).round() as i64).collect()
    }

    pub fn no_new_take(&self, format: &str) {
        wait_until("the queue is read", || self.shared.audio.queued() == 0);
        let session = self.shared.session();
        assert_eq!(session.takes().len(), 1, "{format}");
        assert!(session.current().is_none() && session.loose().is_silent(), "{format}");
    }
}

pub fn near(at: &[i64], due: &[i64], format: &str) {
    assert_eq!(at.len(), due.len(), "{format}: {at:?}");
    let first = at[0];
    for (at, due) in at.iter().zip(due) {
        assert!((at - first - due).abs() <= MS, "{format}: {at} for {due}");
    }
}

/// Where silence ends, after so many samples of it.
pub fn sound_starts(samples: &[f32]) -> Vec<i64> {
    let mut silent = 500;
    let mut starts = Vec::new();
    for (at, sample) in samples.iter().enumerate() {
        if *sample == 0.0 {
            silent += 1;
        } else {
            starts.extend((silent >= 500).then_some(at as i64));
            silent = 0;
        }
    }
    starts
}
