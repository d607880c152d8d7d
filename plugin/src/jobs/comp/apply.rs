//! Applies what the panel asks of comparing, cutting and files.

use crate::command::comp::CompareCommand;
use crate::command::export::Subject;
use crate::jobs::comp::CompareJob;
use crate::jobs::files::{Class, Document, FileJob, OwnSetRequest, TakeDocument};
use crate::view_model::tune::Tune;
use overbar_core::session::Session;
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
                // A choice by hand overrules a search that is still running.
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
                // Set again, it is read again: its files may have changed.
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
            CompareCommand::Stop => files.stop(),
            CompareCommand::Import(sources) => {
                selection.source = match &*sources {
                    [source] => source.trim().to_owned(),
                    _ => String::new(),
                };
                files.import(sources, *session.settings());
            }
            CompareCommand::Export(export) => {
                let (folder, style) = (selection.folder.clone(), selection.style);
                let written_for = selection.written_for;
                let own =
                    OwnSetRequest { folder: selection.own_set.clone(), sets: self.sets.clone() };
                drop(state);
                let request = || self.request(session, store, tune);
                let document = match export.of {
                    Subject::Take(id) => self.copy(session, store, id).map(|copy| {
                        let known = store.metadata(id);
                        Document::Take(TakeDocument {
                            remark: known
                                .map_or_else(String::new, |k| k.labels.remark.value.clone()),
                            form: tune.of_take(store, id).form().cloned(),
                            settings: *session.settings(),
                            analyses: self.analyses.clone(),
                            style,
                            written_for,
                            own,
                            copy,
                        })
                    }),
                    Subject::Comparison => Some(Document::Comparison(request(), own)),
                    Subject::Comp => Some(Document::Comp(request())),
                };
                files.export(export.kind, &folder, document);
            }
        }
    }
}
