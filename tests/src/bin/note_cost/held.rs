//! How long the session's lock is held at a time while a user requests slow operations on a long take. Nobody
//! who needs the session, such as a host that saves, may wait longer.

use crate::play;
use overbar::command::Command;
use overbar::command::drill::DrillCommand;
use overbar::view_model::input::Role;
use overbar::worker::shared::Shared;
use overbar::worker::{ParameterValues, round};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::event::Event;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::TakeId;
use overbar_core::take::settings::{Hearing, Settings};
use overbar_core::time::Second;
use overbar_core::time::transport::TransportPoint;
use overbar_core::transcription::TrackerSettings;
use overbar_library::project::Unpacked;
use overbar_library::take_store::OpenedProject;
use overbar_testkit::time::Busy;
use std::sync::Arc;
use std::time::Duration;

/// The worker's rest between two rounds.
const POLL: Duration = Duration::from_millis(4);
/// During a take, a note is played every n-th round.
const A_NOTE_EVERY: usize = 5;

/// The requests, in this order.
pub const ASKED: [&str; 13] = [
    "a save while a take is played",
    "a correction in the take under way",
    "another setting",
    "other keys heard",
    "a take ends, in a drill",
    "a correction in a take that is over",
    "a take is deleted",
    "a deletion is undone",
    "a take is split",
    "takes are merged",
    "a take is fetched from the library",
    "a take is split into solos",
    "a project is loaded",
];

/// A hand-driven worker, and the longest time it has held the lock.
struct Rig {
    shared: Arc<Shared>,
    values: ParameterValues,
    played: u32,
    at: f64,
    rolls: bool,
    longest: Duration,
}

/// The longest hold in milliseconds while each of [`ASKED`] is applied to a take of `length` notes.
pub fn longest_holds(length: u32) -> [f64; ASKED.len()] {
    let mut rig = Rig {
        shared: Arc::default(),
        values: ParameterValues {
            settings: Settings::default(),
            drill: 0,
            mark: false,
            beat_source: BeatSource::Host,
            pair: 0,
            role: Role::Soloist,
            tracker: TrackerSettings::default(),
        },
        played: 0,
        at: 0.0,
        rolls: true,
        longest: Duration::ZERO,
    };
    while rig.played < length {
        let mut session = rig.shared.session();
        play(&mut session, rig.played, &mut rig.at);
        rig.played += 1;
        if rig.played == length / 2 {
            rig.shared.take_store().add_marker(&session);
        }
        // The panel does this while a take is played: its details are updated as it grows.
        if rig.played.is_multiple_of(16) {
            let _ = session.snapshot();
        }
    }
    rig.shared.panel.want_takes(true);
    rig.shared.practice.send(DrillCommand::Start);
    // Until the details of the take are ready; a longer take needs more rounds for each request.
    let rounds = 100 + usize::try_from(length / 200).unwrap_or(0);
    rig.rounds(rounds);
    let middle = Second(rig.at / 2.0);
    let onset = {
        let session = rig.shared.session();
        let notes = session.current().map(|take| take.performance.soloist.notes().to_vec());
        let notes = notes.unwrap_or_default();
        notes.iter().map(|note| note.on.second).find(|on| *on >= middle).unwrap_or(middle)
    };
    let correct = |begins| Command::Correct { take: 1, at: onset, begins: Some(begins) };
    let hearing = Hearing { lowest_key: 64, ..Hearing::default() };
    ASKED.map(|asked| {
        rig.longest = Duration::ZERO;
        match asked {
            "a correction in the take under way" => rig.shared.panel.send(correct(false)),
            "another setting" => rig.values.settings.finer = 0.4,
            "other keys heard" => rig.values.settings.hearing = hearing,
            "a take ends, in a drill" => rig.stop(),
            "a correction in a take that is over" => rig.shared.panel.send(correct(true)),
            "a take is deleted" => rig.shared.panel.send(Command::Delete(rig.first())),
            "a deletion is undone" => rig.shared.panel.send(Command::Undo),
            "a take is split" => rig.shared.panel.send(Command::Split(rig.first(), onset)),
            "takes are merged" => {
                let takes = rig.shared.session().takes().iter().map(|take| take.id).collect();
                rig.shared.panel.send(Command::Merge(takes));
            }
            "a take is fetched from the library" => rig.fetch(),
            "a project is loaded" => rig.load(),
            "a save while a take is played" => rig.save(),
            _ => rig.shared.panel.send(Command::SplitIntoSolos(rig.first())),
        }
        rig.rounds(rounds);
        rig.longest.as_secs_f64() * 1e3
    })
}

impl Rig {
    /// Rounds of the worker, while the song plays on if it is playing.
    fn rounds(&mut self, count: usize) {
        for number in 0..count {
            if self.rolls && number % A_NOTE_EVERY == 0 {
                play(&mut self.shared.session(), self.played, &mut self.at);
                self.played += 1;
            }
            let (shared, values) = (self.shared.clone(), self.values);
            if !self.hold(|| round(&shared, &|| values)) {
                std::thread::sleep(POLL);
            }
        }
    }

    /// The id of the first finished take.
    fn first(&self) -> TakeId {
        self.shared.session().takes().first().map(|take| take.id).unwrap_or_default()
    }

    /// Saves the project, as the plugin does.
    fn save(&mut self) {
        let shared = self.shared.clone();
        let copy = self.hold(|| {
            let session = shared.session();
            shared.take_store().copy_project(&session)
        });
        drop(copy.pack());
    }

    /// Fetches a copy of the first take, as if from another player's library, as the plugin does.
    fn fetch(&mut self) {
        let mut project = self.shared.take_store().copy_project(&self.shared.session()).pack();
        project.takes.retain(|take| !take.labels.deleted.value);
        let Some(mut take) = project.takes.pop() else { return };
        take.id = TakeId(1);
        let shared = self.shared.clone();
        let opened = OpenedProject::of_take(take);
        self.hold(|| {
            let mut session = shared.session();
            let _ = shared.take_store().load_opened(&mut session, opened);
        });
    }

    /// Loads the current project into another instance, as the plugin does.
    fn load(&mut self) {
        let project = self.shared.take_store().copy_project(&self.shared.session()).pack();
        let opened = OpenedProject::of(Unpacked { project, missing: 0 });
        self.shared = Arc::default();
        self.shared.panel.want_takes(true);
        let shared = self.shared.clone();
        let shown = self.hold(|| {
            let mut session = shared.session();
            let _ = shared.take_store().load_opened(&mut session, opened);
            session.next_to_analyse(false).cloned()
        });
        let shown = shown.map(|take| TakeAnalysis::of(take, Settings::default()));
        self.hold(|| {
            let mut session = shared.session();
            shown.map(|analysis| session.adopt(&Arc::new(analysis)));
            shared.publish_view_model(&mut session, true);
            shared.publish(&mut session);
        });
    }

    /// Stops the transport.
    fn stop(&mut self) {
        let (at, tempo) = (Second(self.at + 1.0), Some(160.0));
        let point = TransportPoint { at, beat: Some(0.0), tempo, ..TransportPoint::default() };
        let shared = self.shared.clone();
        self.hold(|| shared.session().push(Event::Transport(point)));
        self.rolls = false;
    }

    /// Runs `work` with the lock held, and records how long that took.
    fn hold<T>(&mut self, work: impl FnOnce() -> T) -> T {
        let began = Busy::now();
        let done = work();
        self.longest = self.longest.max(began.elapsed());
        done
    }
}
