//! Applies what the panel asks of comparing, cutting and files.

use super::{Cutting, Wish};
use crate::jobs::files::{Class, Outlet, OwnWish, Subject, TakePiece};
use crate::view_model::tune::Tune;
use overbar_core::session::Session;
use overbar_library::Origin;
use overbar_library::take_store::TakeStore;

impl Cutting {
    /// Sees to a wish.
    pub(crate) fn see_to(
        &self,
        wish: Wish,
        session: &mut Session,
        keeper: &mut TakeStore,
        tune: &Tune,
        outlet: &Outlet,
    ) {
        let mut desk = self.desk();
        let chosen = &mut desk.chosen;
        match wish {
            Wish::Choose(take, is_chosen) => chosen.choose(take, is_chosen),
            Wish::Style(style) => chosen.style = style,
            Wish::Columns(columns) => chosen.columns = columns,
            Wish::Cell { first, end, take } => {
                chosen.give(first, end, take);
                // What is chosen by hand is not to be overruled by what was looked for before.
                desk.proposing = false;
            }
            Wish::Aim(aim) => chosen.aim = aim,
            Wish::Nudge(nudge) => chosen.nudge = nudge,
            Wish::Propose => desk.proposing = true,
            Wish::Keep => {
                if let Some(cut) = &desk.cut
                    && let Some(spliced) = &cut.spliced
                {
                    let name = cut.comp_name();
                    let of = cut.request.takes.first().map(|take| keeper.tune_of(take.id));
                    let of = of.unwrap_or_default().to_owned();
                    let comp = keeper.add(session, spliced.clone(), &name, Origin::File);
                    keeper.set_tune(comp, &of);
                }
            }
            Wish::Folder(folder) => chosen.folder = folder.trim().to_owned(),
            Wish::OwnSet(folder) => {
                folder.trim().clone_into(&mut chosen.own_set);
                // Said again, it is read again: its files may be others, or be there now.
                (desk.asked, desk.cut) = (None, None);
            }
            Wish::Class(folder) => folder.trim().clone_into(&mut chosen.class),
            Wish::ExportClass => outlet.export_class(Class {
                source: chosen.class.clone(),
                into: chosen.folder.clone(),
                form: tune.form().cloned(),
                settings: *session.settings(),
                style: chosen.style,
                own_set: chosen.own_set.clone(),
                sets: self.sets.clone(),
            }),
            Wish::Stop => outlet.stop(),
            Wish::Import(source) => {
                source.trim().clone_into(&mut chosen.source);
                outlet.import(&source, *session.settings());
            }
            Wish::Export(export) => {
                let (folder, style) = (chosen.folder.clone(), chosen.style);
                let own = OwnWish { folder: chosen.own_set.clone(), sets: self.sets.clone() };
                drop(desk);
                match export.of {
                    Subject::Take(id) => {
                        let copy = self.copy(session, keeper, id);
                        let known =
                            keeper.metadata(id).map(|known| known.labels.remark.value.clone());
                        let take = copy.map(|copy| TakePiece {
                            remark: known.unwrap_or_default(),
                            form: tune.of_take(keeper, id).form().cloned(),
                            settings: *session.settings(),
                            analyses: self.analyses.clone(),
                            style,
                            own,
                            copy,
                        });
                        outlet.export_take(&export, &folder, take);
                    }
                    Subject::Comparison | Subject::Comp => {
                        let request = self.request(session, keeper, tune);
                        outlet.export_request(&export, &folder, request, own);
                    }
                }
            }
        }
    }
}
