//! What leaves the plugin as files, and what comes in: on a thread of its own, told as it goes.

mod class;
pub mod folder;
pub(crate) mod import;
mod pieces;

use crate::board::cutting::request::Request;
use crate::hand::Hand;
use crate::lock::whole;
pub(crate) use class::Class;
use import::Arrived;
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use overbar_core::take::TakeId;
use overbar_library::Origin;
use overbar_library::keeper::Keeper;
use pieces::Piece;
pub(crate) use pieces::{OwnWish, TakePiece};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A take that is over.
    Take(TakeId),
    /// The comparison of the chosen takes.
    Comparison,
    /// The comp.
    Comp,
}

/// As what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A Standard MIDI File, with a marker at each phrase.
    Midi,
    /// Phrases and figures as JSON, and as CSV.
    Tables,
    /// A page for a browser.
    Page,
    /// The cue list as text.
    CueText,
    /// The cue list as CSV.
    CueTable,
}

/// A file to be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Export {
    /// Of what.
    pub of: Subject,
    /// As what.
    pub kind: FileKind,
}

/// What is told of it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Progress {
    /// What is being done.
    pub working: Option<String>,
    /// What came of the last wish: a sentence, also where it went wrong.
    pub last: Option<Result<String, String>>,
}

/// See the module.
#[derive(Default)]
pub struct Outlet {
    hand: Hand,
    desk: Arc<Desk>,
}

/// Between the thread and the worker.
#[derive(Default)]
struct Desk {
    line: Mutex<Progress>,
    news: AtomicBool,
    arrived: Mutex<Vec<Arrived>>,
}

impl Desk {
    fn tell(&self, change: impl FnOnce(&mut Progress)) {
        change(&mut whole(&self.line));
        self.news.store(true, Relaxed);
    }

    fn working(&self, what: String) {
        self.tell(|line| line.working = Some(what));
    }

    fn done(&self, result: Result<String, String>) {
        self.tell(|line| *line = Progress { working: None, last: Some(result) });
    }
}

impl Outlet {
    /// Whether there is something new to be told.
    #[must_use]
    pub fn has_news(&self) -> bool {
        self.desk.news.load(Relaxed)
    }

    /// What is told.
    pub(crate) fn line(&self) -> Progress {
        self.desk.news.store(false, Relaxed);
        whole(&self.desk.line).clone()
    }

    /// Writes something of a take; `None` of one that is not over.
    pub(crate) fn export_take(&self, export: &Export, folder: &str, take: Option<TakePiece>) {
        match take {
            Some(take) => self.export(export.kind, folder, Piece::Take(take)),
            None => {
                self.desk.done(Err("Only a take that is over can be written.".to_owned()));
            }
        }
    }

    /// Writes something of the chosen takes.
    pub(crate) fn export_request(&self, export: &Export, folder: &str, request: Request) {
        let piece = match export.of {
            Subject::Comp => Piece::Comp(request),
            Subject::Comparison | Subject::Take(_) => Piece::Comparison(request),
        };
        self.export(export.kind, folder, piece);
    }

    fn export(&self, kind: FileKind, folder: &str, piece: Piece) {
        let folder = folder.to_owned();
        self.work("writing".to_owned(), move |desk| {
            let folder = folder::of(&folder)?;
            let (stem, files) = piece.files(kind)?;
            desk.working(format!("writing {stem}"));
            let mut written = Vec::new();
            for (ending, bytes) in files {
                written.push(folder::write_new(&folder, &stem, ending, &bytes)?);
            }
            let first = written.first().map(|path| path.display().to_string());
            let more = match written.len() {
                0 | 1 => String::new(),
                files => format!(" and {} more", files - 1),
            };
            Ok(format!("Written: {}{more}.", first.unwrap_or_default()))
        });
    }

    /// Writes a page for each MIDI file of a folder.
    pub(crate) fn export_class(&self, class: Class) {
        self.work("reading".to_owned(), move |desk| class.write(|what| desk.working(what)));
    }

    /// Reads takes from a file or from the MIDI files of a folder.
    pub(crate) fn import(&self, source: &str, settings: Settings) {
        let source = source.trim().to_owned();
        self.work("reading".to_owned(), move |desk| {
            let source = folder::absolute(&source)?;
            let mut left_out = Vec::new();
            let files = import::files(Path::new(&source))?;
            let all = files.len();
            for (index, file) in files.iter().enumerate() {
                desk.working(format!("reading file {} of {all}", index + 1));
                match import::read(file, settings) {
                    Ok(arrived) => whole(&desk.arrived).push(arrived),
                    Err(why) => left_out.push(why),
                }
            }
            let read = all - left_out.len();
            match (read, left_out.split_first()) {
                (0, Some((why, _))) => Err(format!("Nothing was read: {why}.")),
                (_, Some((why, others))) => Err(format!(
                    "Files read: {read}; not read: {}, the first being {why}.",
                    others.len() + 1
                )),
                (_, None) => Ok(format!("Files read: {read}.")),
            }
        });
    }

    /// Has `job` done; what it gives back is told.
    fn work(
        &self,
        what: String,
        job: impl FnOnce(&Desk) -> Result<String, String> + Send + 'static,
    ) {
        self.desk.working(what);
        let desk = self.desk.clone();
        let given = self.hand.give(move || {
            let result = crate::guard::guard(|| job(&desk));
            desk.done(result.unwrap_or_else(|| Err("That met an error; nothing is lost.".into())));
        });
        if let Err(why) = given {
            self.desk.done(Err(format!("It could not be begun: {why}.")));
        }
    }

    /// Puts what was read into the session, but for what is there already; whether there was any.
    pub(crate) fn take_in(&self, session: &mut Session, keeper: &mut Keeper) -> bool {
        let arrived = core::mem::take(&mut *whole(&self.desk.arrived));
        let any = !arrived.is_empty();
        for Arrived { name, notes } in arrived {
            let same = |take: &overbar_core::take::Take| {
                take.performance.heard.notes() == notes.heard.notes()
            };
            if !session.takes().iter().any(same) {
                keeper.put(session, notes, &name, Origin::File);
            }
        }
        any
    }
}
