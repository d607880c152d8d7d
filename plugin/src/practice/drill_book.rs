//! The chosen drill with its settings, the user's own drills, and results.

use crate::command::drill::DrillCommand;
use crate::practice::catalogue::catalogue;
use crate::practice::drill_settings::{self, words};
use crate::practice::results::{KeptResult, MAX_KEPT};
use overbar_core::output::words::capital;
use overbar_core::practice::{self, Drill, DrillReport};
use overbar_core::session::Session;
use serde::{Deserialize, Serialize};

/// At most this many own drills are kept.
pub const MAX_MIXES: usize = 64;

/// Drills and results.
#[derive(Debug, Clone)]
pub struct DrillBook {
    /// The built-in drills.
    pub fixed: Vec<Drill>,
    /// The user's own drills.
    pub mixes: Vec<Drill>,
    /// The chosen drill with its settings.
    pub drill: Drill,
    /// Results, the newest last.
    pub kept: Vec<KeptResult>,
    /// Results that are not in the library yet.
    pub done: Vec<KeptResult>,
    /// A message about the last command.
    pub message: Option<String>,
    /// Number of the last drill queued for the library.
    last_queued: u32,
    /// How many drills have been started.
    pub begun: u32,
    /// The report of the last drill, once it has ended.
    pub last: Option<DrillReport>,
}

/// What a project saves of it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct SavedPractice {
    /// The chosen drill as the text of a file.
    pub drill: String,
    /// The user's own drills, likewise.
    pub mixes: Vec<String>,
    /// Results, the newest last.
    pub kept: Vec<KeptResult>,
}

impl Default for DrillBook {
    fn default() -> Self {
        let fixed = catalogue();
        let first = fixed.first().cloned();
        let drill = first.unwrap_or_else(|| Drill {
            name: String::new(),
            goals: Vec::new(),
            form: practice::DrillForm { bars: 12, first_bar: None, count_in: 1 },
            choruses: 1,
            tempo: None,
            pass: 0.9,
        });
        let (mixes, kept, done) = (Vec::new(), Vec::new(), Vec::new());
        Self {
            fixed,
            mixes,
            drill,
            kept,
            done,
            message: None,
            last_queued: 0,
            begun: 0,
            last: None,
        }
    }
}

impl DrillBook {
    /// All drills in the list, built-in ones first.
    pub fn list(&self) -> impl Iterator<Item = &Drill> {
        self.fixed.iter().chain(&self.mixes)
    }

    /// Index of the chosen drill: the last one of its name.
    pub fn chosen(&self) -> Option<usize> {
        let named = self.list().enumerate().filter(|(_, drill)| drill.name == self.drill.name);
        named.last().map(|(index, _)| index)
    }

    /// Applies a command.
    pub fn apply(&mut self, command: DrillCommand, session: &mut Session) {
        self.message = None;
        let done = match command {
            DrillCommand::Choose(index) => {
                self.choose(index);
                Ok(())
            }
            DrillCommand::AddAims(index) => self.join(index),
            DrillCommand::LeaveOut(goal) => {
                if self.drill.goals.len() > 1 && goal < self.drill.goals.len() {
                    self.drill.goals.remove(goal);
                }
                Ok(())
            }
            DrillCommand::Turn { id, to } => drill_settings::adjust(&mut self.drill, &id, &to),
            DrillCommand::Keep(name) => {
                self.keep(Drill { name: name.trim().to_owned(), ..self.drill.clone() })
            }
            DrillCommand::Forget(index) => {
                if let Some(own) = index.checked_sub(self.fixed.len())
                    && own < self.mixes.len()
                {
                    self.mixes.remove(own);
                }
                Ok(())
            }
            DrillCommand::Read(text) => practice::read(&text)
                .map_err(|error| format!("{}.", capital(&error.to_string())))
                .and_then(|d| self.keep(d)),
            DrillCommand::Practise(drill) => {
                self.drill = *drill;
                self.start(session)
            }
            DrillCommand::Start => self.start(session),
            DrillCommand::End => {
                self.end(session);
                Ok(())
            }
        };
        self.message = done.err();
    }

    /// Chooses a drill. A built-in one keeps the current form and pass mark, because the tune is the same.
    fn choose(&mut self, index: usize) {
        if let Some(fixed) = self.fixed.get(index) {
            let (form, pass) = (self.drill.form, self.drill.pass);
            self.drill = Drill { form, pass, ..fixed.clone() };
        } else if let Some(own) = self.mixes.get(index - self.fixed.len()) {
            self.drill = own.clone();
        }
    }

    fn join(&mut self, index: usize) -> Result<(), String> {
        let Some(other) = self.list().nth(index) else { return Ok(()) };
        let mut both = self.drill.clone();
        both.goals.extend(other.goals.iter().cloned());
        both.choruses = both.choruses.max(other.choruses);
        self.drill = checked(both)?;
        Ok(())
    }

    fn keep(&mut self, drill: Drill) -> Result<(), String> {
        let drill = checked(drill)?;
        if self.fixed.iter().any(|fixed| fixed.name == drill.name) {
            return Err(format!("A drill called \"{}\" exists. Choose another name.", drill.name));
        }
        let full = self.mixes.len() >= MAX_MIXES;
        match self.mixes.iter_mut().find(|own| own.name == drill.name) {
            Some(own) => own.clone_from(&drill),
            None if full => {
                return Err(format!(
                    "Limit of {MAX_MIXES} custom drills reached. Delete one first."
                ));
            }
            None => self.mixes.push(drill.clone()),
        }
        self.drill = drill;
        Ok(())
    }

    fn start(&mut self, session: &mut Session) -> Result<(), String> {
        let drill = checked(self.drill.clone())?;
        self.end(session);
        session.start_drill(drill).map_err(|fault| words(&fault))?;
        self.begun = self.begun.wrapping_add(1);
        self.last = None;
        Ok(())
    }

    fn end(&mut self, session: &mut Session) {
        if let Some(report) = session.end_drill() {
            self.keep_result(report);
        }
    }

    /// Keeps the result of a finished drill.
    pub fn keep_result(&mut self, report: DrillReport) {
        if let Some(kept) = KeptResult::of(&report) {
            if self.kept.len() >= MAX_KEPT {
                self.kept.remove(0);
            }
            self.kept.push(kept);
        }
        self.queue_result(&report);
        self.last = Some(report);
    }

    /// Queues the result of a finished drill for the library, once.
    pub fn queue_result(&mut self, report: &DrillReport) {
        if self.last_queued != self.begun {
            self.last_queued = self.begun;
            self.done.extend(KeptResult::of(report));
        }
    }

    /// What the project saves. `under_way` is the report of an unfinished drill.
    pub fn save(&self, under_way: Option<&DrillReport>) -> SavedPractice {
        let text = |drill: &Drill| practice::write(drill).ok();
        let now = under_way.and_then(KeptResult::of);
        SavedPractice {
            drill: text(&self.drill).unwrap_or_default(),
            mixes: self.mixes.iter().filter_map(text).collect(),
            kept: self.kept.iter().cloned().chain(now).collect(),
        }
    }

    /// Restores what a project saved: the chosen drill, own drills (before those made here), results.
    ///
    /// # Errors
    /// Which drill cannot be parsed; nothing has changed then.
    pub fn load(&mut self, saved: SavedPractice) -> Result<(), String> {
        let read = |text: &String| practice::read(text).map_err(|error| error.to_string());
        let mut mixes = saved.mixes.iter().map(read).collect::<Result<Vec<Drill>, _>>()?;
        if !saved.drill.is_empty() {
            self.drill = read(&saved.drill)?;
        }
        let made_here = core::mem::take(&mut self.mixes);
        mixes.extend(made_here.into_iter().filter(|own| !saved_has(&saved, own)));
        self.mixes = mixes;
        let before = saved.kept.into_iter().filter(|kept| !self.kept.contains(kept));
        let mut kept: Vec<KeptResult> = before.collect();
        kept.append(&mut self.kept);
        self.kept = kept;
        Ok(())
    }
}

fn saved_has(saved: &SavedPractice, own: &Drill) -> bool {
    practice::write(own).is_ok_and(|text| saved.mixes.contains(&text))
}

fn checked(drill: Drill) -> Result<Drill, String> {
    drill.check().map_err(|fault| words(&fault))?;
    Ok(drill)
}
