use super::*;
use crate::view_model::setting::Adjustment;
use overbar_core::practice::DrillState;

struct Room {
    practice: Practice,
    session: Session,
}

impl Room {
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
fn there_are_drills_before_anything_was_heard() {
    let picture = Practice::default().view();
    assert_eq!(picture.plan.drills.len(), 9);
    assert_eq!((picture.plan.chosen, picture.run.as_ref()), (Some(0), None));
    assert!(picture.plan.text.contains("unbroken line"));
}

#[test]
fn a_drill_is_chosen_set_begun_and_ended() {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(2));
    let turn = |id: &str, to| DrillCommand::Turn { id: id.to_owned(), to };
    room.send(turn("bars", Adjustment::Typed("32".to_owned())));
    let picture = room.send(turn("goal0", Adjustment::More));
    assert_eq!(picture.plan.name, "Target position");
    assert_eq!(picture.said.as_deref(), Some("Already at the limit."));
    let picture = room.send(turn("goal0", Adjustment::Typed("2&".to_owned())));
    assert_eq!(picture.plan.aims, ["Start every phrase on the & of 2."]);
    let run = room.send(DrillCommand::Start).run.clone().unwrap();
    assert_eq!((run.number, run.under_way, run.state), (1, true, DrillState::Idle));
    let run = room.send(DrillCommand::End).run.clone().unwrap();
    assert_eq!((run.number, run.under_way), (1, false));
    assert_eq!(run.told, ["no complete chorus"]);
    assert!(room.see().plan.kept.is_empty(), "nothing was heard of it");
    // Another drill of the same tune.
    let picture = room.send(DrillCommand::Choose(0));
    assert_eq!(
        picture.plan.settings.iter().find(|knob| knob.id == "bars").unwrap().value,
        "32 bars"
    );
}

#[test]
fn own_mixes_are_kept_shared_as_text_and_forgotten() {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(2));
    room.send(DrillCommand::AddAims(6));
    let picture = room.send(DrillCommand::Keep("Late and long".to_owned()));
    assert_eq!((picture.plan.drills.len(), picture.plan.chosen), (10, Some(9)));
    assert!(picture.plan.drills[9].own && picture.plan.aims.len() == 2);
    let text = picture.plan.text.clone();
    let other = Room::new().send(DrillCommand::Read(text.clone()));
    assert_eq!((&other.plan.text, &other.said), (&text, &None));
    let refused = Room::new().send(DrillCommand::Read(text.replace("version = 1", "version = 2")));
    let told = refused.said.as_deref().unwrap();
    assert!(told.starts_with("Line 1, version: made with a newer version"), "{told}");
    let refused = room.send(DrillCommand::Keep("Target position".to_owned()));
    assert!(refused.said.as_deref().is_some_and(|said| said.contains("exists")));
    room.send(DrillCommand::LeaveOut(0));
    assert_eq!(room.send(DrillCommand::LeaveOut(0)).plan.aims.len(), 1, "one aim stays");
    assert_eq!(room.send(DrillCommand::Forget(9)).plan.drills.len(), 9);
}

#[test]
fn a_project_keeps_the_choice_and_the_mixes() {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(5));
    room.send(DrillCommand::Keep("Mine".to_owned()));
    let saved = room.practice.save(&mut room.session);
    let mut fresh = Room::new();
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
    let told = fresh.practice.load(damaged).unwrap_err();
    assert!(told.contains("version"), "{told}");
    assert_eq!(fresh.see().plan.drills.len(), 11);
}

#[test]
fn the_parameter_begins_and_ends_a_drill() {
    let mut room = Room::new();
    room.practice.follow_parameter(0);
    assert_eq!(room.see().run, None);
    room.practice.follow_parameter(3);
    room.practice.follow_parameter(3);
    let run = room.see().run.clone().unwrap();
    assert_eq!((run.name.as_str(), run.number, run.under_way), ("Target position", 1, true));
    room.practice.follow_parameter(24);
    assert_eq!(room.see().run.clone().unwrap().number, 2, "the one that is chosen, anew");
    room.practice.follow_parameter(0);
    assert!(!room.see().run.clone().unwrap().under_way);
}

/// After an error, the session knows of no drill any more.
#[test]
fn what_was_heard_before_an_error_is_still_told() {
    let mut room = Room::new();
    room.send(DrillCommand::Start);
    room.session.restart();
    for _ in 0..2 {
        let run = room.see().run.clone().unwrap();
        assert_eq!((run.name.as_str(), run.under_way), ("Unbroken line", false));
    }
}
