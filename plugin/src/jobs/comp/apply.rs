//! Applies the panel's commands for comparing, cutting and files.

use crate::command::comp::CompareCommand;
use crate::command::export::Subject;
use crate::jobs::comp::CompareJob;
use crate::jobs::files::{Class, Document, FileJob, OwnSetRequest, TakeDocument};
use crate::view_model::tune::Tune;
use overbar_core::output::notation::WritingOptions;
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_library::Origin;
use overbar_library::take_store::TakeStore;

impl CompareJob {
    /// Applies a command.
    pub(crate) fn apply(
        &self,
        command: CompareCommand,
        session: &mut Session,
        store: &mut TakeStore,
        tune: &Tune,
        files: &FileJob,
    ) {
        let mut state = self.state();
        let selection = &mut state.selection;
        match command {
            CompareCommand::Choose(take, chosen) => selection.choose(take, chosen),
            CompareCommand::Style(style) => selection.style = style,
            CompareCommand::Columns(columns) => selection.columns = columns,
            CompareCommand::Cell { first, end, take } => {
                selection.give(first, end, take);
                // A choice by hand overrides a running search.
                state.proposing = false;
            }
            CompareCommand::Aim(aim) => selection.aim = aim,
            CompareCommand::Nudge(nudge) => selection.nudge = nudge,
            CompareCommand::Propose => state.proposing = true,
            CompareCommand::Keep => {
                if let Some(cut) = &state.cut
                    && let Some(spliced) = &cut.spliced
                {
                    let name = cut.comp_name();
                    let of = cut.request.takes.first().map(|take| store.tune_of(take.id));
                    let of = of.unwrap_or_default().to_owned();
                    let comp = store.add(session, spliced.clone(), &name, Origin::File);
                    store.set_tune(comp, &of);
                }
            }
            CompareCommand::Folder(folder) => selection.folder = folder.trim().to_owned(),
            CompareCommand::OwnSet(folder) => {
                folder.trim().clone_into(&mut selection.own_set);
                // Set again, the folder is read again: its files may have changed.
                (state.asked, state.cut) = (None, None);
            }
            CompareCommand::Class(folder) => folder.trim().clone_into(&mut selection.class),
            CompareCommand::ExportClass => files.export_class(Class {
                source: selection.class.clone(),
                into: selection.folder.clone(),
                form: tune.form().cloned(),
                settings: *session.settings(),
                style: selection.style,
                own_set: selection.own_set.clone(),
                sets: self.sets.clone(),
            }),
            CompareCommand::WrittenFor(pitch) => selection.written_for = pitch,
            CompareCommand::StartsInWords(on) => selection.starts_in_words = on,
            CompareCommand::Stop => files.stop(),
            CompareCommand::Import(sources) => {
                selection.source = match &*sources {
                    [source] => source.trim().to_owned(),
                    _ => String::new(),
                };
                files.import(sources, *session.settings());
            }
            CompareCommand::Export(export) => {
                let folder = selection.folder.clone();
                drop(state);
                let documents = self.documents(export.of, session, store, tune);
                files.export(export.kind, &folder, documents);
            }
        }
    }

    /// The documents to write; none for a take that is still being played.
    fn documents(
        &self,
        of: Subject,
        session: &Session,
        store: &TakeStore,
        tune: &Tune,
    ) -> Vec<Document> {
        let chosen = self.selection();
        let own = OwnSetRequest { folder: chosen.own_set.clone(), sets: self.sets.clone() };
        let take = |id: TakeId, phrase: Option<usize>| {
            let copy = self.copy(session, store, id)?;
            let known = store.metadata(id);
            Some(Document::Take(TakeDocument {
                remark: known.map_or_else(String::new, |k| k.labels.remark.value.clone()),
                form: tune.of_take(store, id).form().cloned(),
                settings: *session.settings(),
                analyses: self.analyses.clone(),
                style: chosen.style,
                writing: WritingOptions { phrase, ..chosen.writing() },
                own: own.clone(),
                copy,
            }))
        };
        let request = || self.request(session, store, tune);
        match of {
            Subject::Take(id) => take(id, None).into_iter().collect(),
            Subject::Phrase(id, phrase) => take(id, Some(phrase)).into_iter().collect(),
            Subject::ChosenTakes => chosen.takes.iter().filter_map(|id| take(*id, None)).collect(),
            Subject::Comparison => vec![Document::Comparison(request(), own)],
            Subject::Comp => vec![Document::Comp(request())],
        }
    }
}
