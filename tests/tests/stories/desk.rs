//! An instance in a host, and a user at it.

use overbar::command::Command;
use overbar::command::comp::CompareCommand;
use overbar::command::export::{Export, FileKind, Subject};
use overbar::host::inspect::last_made_here;
use overbar::view_model::ViewModel;
use overbar::worker::shared::Shared;
use overbar_core::take::TakeId;
use overbar_tests::host::{ClapRig, Host, Player, parameter_number};
use overbar_tests::live;
use overbar_tests::song::Song;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Frames of a block.
const BLOCK: usize = 2_048;

/// Events that wait in the queue before the host is held up: it plays faster than time.
const WAITING: usize = 4_096;

pub struct Desk {
    pub host: ClapRig,
    pub shared: Arc<Shared>,
}

impl Desk {
    /// An empty project.
    pub fn open() -> Self {
        let mut host = ClapRig::linked().unwrap();
        let shared = last_made_here().unwrap();
        host.activate(live::RATE, BLOCK).unwrap();
        shared.panel.want_takes(true);
        Self { host, shared }
    }

    /// Plays `song` from one beat to another, and rolls on; recording as it says.
    pub fn roll(&mut self, song: &Song, (from, to): (f64, f64), recording: &dyn Fn(f64) -> bool) {
        let mut player = Player::new(song, live::RATE, from);
        while player.position() < to {
            player.recording = recording(player.position());
            let block = player.block(BLOCK);
            self.host.process(&block);
            while self.shared.audio.queued() > WAITING {
                std::thread::sleep(Duration::from_millis(1));
            }
        }
    }

    /// Plays it and stops.
    pub fn play(&mut self, song: &Song, (from, to): (f64, f64)) {
        self.roll(song, (from, to), &|_| false);
        self.stop(song, to);
    }

    pub fn stop(&mut self, song: &Song, at: f64) {
        let block = Player::new(song, live::RATE, at).stopped(64);
        self.host.process(&block);
        let shared = self.shared.clone();
        self.until("all is heard", |_| shared.audio.queued() == 0);
        self.until("the take is over", |_| shared.session().current().is_none());
        assert_eq!(self.shared.audio.headline.dropped(), 0, "nothing was lost");
    }

    pub fn set(&mut self, parameter: &str, value: f64) {
        self.host.set_parameter(parameter_number(parameter), value);
        self.host.process(&Player::new(&Song::steady(120.0, 4, 4), live::RATE, 0.0).stopped(64));
        let shared = self.shared.clone();
        self.until("the parameter is set", |_| {
            shared.session().settings().passes.recorded_only == (value > 0.5)
        });
    }

    /// Waits until what is seen is as it should be.
    pub fn until(&self, what: &str, done: impl Fn(&ViewModel) -> bool) -> Arc<ViewModel> {
        let began = Instant::now();
        loop {
            let board = self.shared.publisher.view_model();
            if done(&board) {
                return board;
            }
            assert!(began.elapsed() < Duration::from_secs(60), "never: {what}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    pub fn wish(&self, wish: CompareCommand) {
        self.shared.panel.send(Command::Compare(wish));
    }

    pub fn takes(&self) -> Vec<TakeId> {
        self.shared.session().takes().iter().map(|take| take.id).collect()
    }

    /// Chooses these takes and no others, and waits until they have been worked out.
    pub fn choose(&self, takes: &[TakeId]) -> Arc<ViewModel> {
        for take in self.shared.publisher.compare.selection().takes {
            self.wish(CompareCommand::Choose(take, false));
        }
        takes.iter().for_each(|take| self.wish(CompareCommand::Choose(*take, true)));
        self.worked_out(|board| board.compare.selection.takes == takes)
    }

    /// Waits until all is worked out and what is seen is as it should be.
    pub fn worked_out(&self, done: impl Fn(&ViewModel) -> bool) -> Arc<ViewModel> {
        self.until("it is worked out", |board| {
            let compare = &board.compare;
            !compare.working && !compare.proposing && compare.sheet.is_some() && done(board)
        })
    }

    /// Writes a file, and gives its path.
    pub fn export(&self, of: Subject, kind: FileKind) -> PathBuf {
        let before = self.shared.publisher.view_model().files.last.clone();
        self.wish(CompareCommand::Export(Export { of, kind }));
        let board = self.until("it is written", |board| {
            board.files.working.is_none() && board.files.last != before
        });
        let message = board.files.last.clone().unwrap().unwrap();
        let path = message.strip_prefix("Saved ").unwrap();
        PathBuf::from(path.strip_suffix('.').unwrap())
    }
}

/// A folder for one story, empty.
pub fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("overbar_{name}_{}", std::process::id()));
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

pub fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}
