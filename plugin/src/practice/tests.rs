use super::*;
use crate::view_model::setting::Adjustment;
use overbar_core::practice::DrillState;

struct Setup {
    practice: Practice,
    session: Session,
}

impl Setup {
    fn new() -> Self {
        Self { practice: Practice::default(), session: Session::default() }
    }

    fn send(&mut self, command: DrillCommand) -> Arc<PracticeView> {
        self.practice.send(command);
        self.see()
    }

    fn see(&mut self) -> Arc<PracticeView> {
        self.practice.apply_commands(&mut self.session);
        self.practice.publish(&mut self.session);
        self.practice.view()
    }
}

#[test]
fn there_are_drills_before_any_note() {
    let picture = Practice::default().view();
    assert_eq!(picture.plan.drills.len(), 9);
    assert_eq!((picture.plan.chosen, picture.run.as_ref()), (Some(0), None));
    assert!(picture.plan.text.contains("unbroken line"));
}

#[test]
fn a_drill_is_chosen_set_started_and_ended() {
    let mut setup = Setup::new();
    setup.send(DrillCommand::Choose(2));
    let turn = |id: &str, to| DrillCommand::Turn { id: id.to_owned(), to };
    setup.send(turn("bars", Adjustment::Typed("32".to_owned())));
    let picture = setup.send(turn("goal0", Adjustment::More));
    assert_eq!(picture.plan.name, "Target position");
    assert_eq!(picture.message.as_deref(), Some("Already at the limit."));
    let picture = setup.send(turn("goal0", Adjustment::Typed("2&".to_owned())));
    assert_eq!(picture.plan.aims, ["Start every phrase on the & of 2."]);
    let run = setup.send(DrillCommand::Start).run.clone().unwrap();
    assert_eq!((run.number, run.under_way, run.state), (1, true, DrillState::Idle));
    let run = setup.send(DrillCommand::End).run.clone().unwrap();
    assert_eq!((run.number, run.under_way), (1, false));
    assert_eq!(run.words, ["no complete chorus"]);
    assert!(setup.see().plan.kept.is_empty(), "nothing was heard of it");
    // Another drill on the same tune.
    let picture = setup.send(DrillCommand::Choose(0));
    assert_eq!(
        picture.plan.settings.iter().find(|knob| knob.id == "bars").unwrap().value,
        "32 bars"
    );
}

#[test]
fn own_drills_are_kept_shared_as_text_and_deleted() {
    let mut setup = Setup::new();
    setup.send(DrillCommand::Choose(2));
    setup.send(DrillCommand::AddAims(6));
    let picture = setup.send(DrillCommand::Keep("Late and long".to_owned()));
    assert_eq!((picture.plan.drills.len(), picture.plan.chosen), (10, Some(9)));
    assert!(picture.plan.drills[9].own && picture.plan.aims.len() == 2);
    let text = picture.plan.text.clone();
    let other = Setup::new().send(DrillCommand::Read(text.clone()));
    assert_eq!((&other.plan.text, &other.message), (&text, &None));
    let refused = Setup::new().send(DrillCommand::Read(text.replace("version = 1", "version = 2")));
    let message = refused.message.as_deref().unwrap();
    assert!(message.starts_with("Line 1, version: made with a newer version"), "{message}");
    let refused = setup.send(DrillCommand::Keep("Target position".to_owned()));
    assert!(refused.message.as_deref().is_some_and(|message| message.contains("exists")));
    setup.send(DrillCommand::LeaveOut(0));
    assert_eq!(setup.send(DrillCommand::LeaveOut(0)).plan.aims.len(), 1, "one aim stays");
    assert_eq!(setup.send(DrillCommand::Forget(9)).plan.drills.len(), 9);
}

#[test]
fn a_project_saves_the_choice_and_own_drills() {
    let mut setup = Setup::new();
    setup.send(DrillCommand::Choose(5));
    setup.send(DrillCommand::Keep("Mine".to_owned()));
    let saved = setup.practice.save(&mut setup.session);
    let mut fresh = Setup::new();
    fresh.send(DrillCommand::Keep("Made here".to_owned()));
    fresh.practice.load(saved.clone()).unwrap();
    let names: Vec<String> = fresh.see().plan.drills[9..].iter().map(|d| d.name.clone()).collect();
    assert_eq!(
        (names, fresh.see().plan.name.as_str()),
        (vec!["Mine".into(), "Made here".into()], "Mine")
    );
    fresh.practice.load(saved.clone()).unwrap();
    assert_eq!(fresh.see().plan.drills.len(), 11, "nothing comes twice");
    let damaged = SavedPractice { mixes: vec!["version = 9".to_owned()], ..saved };
    let message = fresh.practice.load(damaged).unwrap_err();
    assert!(message.contains("version"), "{message}");
    assert_eq!(fresh.see().plan.drills.len(), 11);
}

#[test]
fn the_parameter_starts_and_ends_a_drill() {
    let mut setup = Setup::new();
    setup.practice.follow_parameter(0);
    assert_eq!(setup.see().run, None);
    setup.practice.follow_parameter(3);
    setup.practice.follow_parameter(3);
    let run = setup.see().run.clone().unwrap();
    assert_eq!((run.name.as_str(), run.number, run.under_way), ("Target position", 1, true));
    setup.practice.follow_parameter(24);
    assert_eq!(setup.see().run.clone().unwrap().number, 2, "the one that is chosen, anew");
    setup.practice.follow_parameter(0);
    assert!(!setup.see().run.clone().unwrap().under_way);
}

/// After an error, the session no longer knows of any drill.
#[test]
fn results_from_before_an_error_are_kept() {
    let mut setup = Setup::new();
    setup.send(DrillCommand::Start);
    setup.session.restart();
    for _ in 0..2 {
        let run = setup.see().run.clone().unwrap();
        assert_eq!((run.name.as_str(), run.under_way), ("Unbroken line", false));
    }
}
