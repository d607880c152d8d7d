use super::*;
use crate::command::Command;
use crate::view_model::look::{Tab, ThemeName};
use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::time::Second;
use overbar_core::time::transport::TransportPoint;
use serde_json::json;

/// A plugin with one complete take of a few notes and another in progress.
fn heard() -> (Arc<Shared>, Saved) {
    let shared = Arc::new(Shared::default());
    let saved = Saved::new(shared.clone());
    let mut session = shared.session();
    for pass in 0..2 {
        let start = f64::from(pass) * 10.0;
        session.push(Event::Transport(TransportPoint {
            at: Second(start),
            beat: Some(0.1),
            tempo: Some(133.3),
            metre: Some((3, 4)),
            rolling: true,
            ..Default::default()
        }));
        for note in 0..4_u8 {
            let at = Second(start + 1.0 + f64::from(note) / 3.0);
            let (key, channel) = (Some(60 + note), Some(0));
            session.push(Event::On(NoteOn { at, beat: None, key, channel, velocity: 0.7 }));
            let end = Second(at.0 + 0.123);
            session.push(Event::Off(NoteOff { at: end, beat: None, key, channel }));
        }
        if pass == 0 {
            let at = Second(start + 5.0);
            let stop =
                TransportPoint { at, beat: Some(9.0), tempo: Some(133.3), ..Default::default() };
            session.push(Event::Transport(stop));
        }
    }
    drop(session);
    (shared, saved)
}

/// The bytes of the takes in a saved state, and the takes unpacked.
fn packed(value: &Value) -> Vec<u8> {
    BASE64.decode(value["body"]["takes"].as_str().unwrap()).unwrap()
}

fn unpacked(value: &Value) -> Unpacked {
    unpack_project(&packed(value)).unwrap()
}

fn load(saved: &Saved, value: Value) {
    saved.set(Envelope(value));
}

#[test]
fn takes_and_the_panel_survive_a_round_trip_byte_for_byte() {
    let (shared, saved) = heard();
    shared.panel.set_size((800, 500));
    let look = Look { tab: Tab::Takes, theme: ThemeName::Contrast };
    shared.panel.set_look(look);
    let text = serde_json::to_string(&saved.save()).unwrap();

    let fresh = Arc::new(Shared::default());
    let reopened = Saved::new(fresh.clone());
    load(&reopened, serde_json::from_str(&text).unwrap());
    assert_eq!(fresh.panel.notices(), Vec::<String>::new());
    assert_eq!((fresh.panel.size(), fresh.panel.look()), ((800, 500), look));
    assert_eq!(fresh.session().takes().len(), 2);
    // Saved during the take, its last phrase is complete when it is loaded.
    let mut session = shared.session();
    session.finish();
    assert_eq!(fresh.panel.snapshot().figures, session.snapshot().figures);
    assert_eq!(serde_json::to_string(&reopened.save()).unwrap(), text);
}

/// A correction is saved from the moment it is made, even before the worker has applied it.
#[test]
fn a_pending_command_is_saved() {
    let (shared, saved) = heard();
    let at = shared.session().takes()[0].performance.soloist.notes()[2].on.second;
    shared.panel.send(Command::Correct { take: 1, at, begins: Some(true) });
    let project = unpacked(&saved.save()).project;
    let made = &project.takes[0].labels.corrections.value;
    assert_eq!(made.at(at), Some(true));
    // It comes back with the take.
    let fresh = Arc::new(Shared::default());
    load(&Saved::new(fresh.clone()), saved.save());
    assert_eq!(fresh.session().takes()[0].performance.corrections, *made);
}

/// A project from before the panel had views.
#[test]
fn a_state_without_a_look_is_read() {
    let (_, saved) = heard();
    let mut body = saved.save()["body"].clone();
    body["panel"].as_object_mut().unwrap().remove("look");
    let fresh = Arc::new(Shared::default());
    load(&Saved::new(fresh.clone()), envelope::seal(&body));
    assert_eq!((fresh.session().takes().len(), fresh.panel.look()), (2, Look::default()));
}

#[test]
fn loading_known_takes_does_not_duplicate_them() {
    let (shared, saved) = heard();
    let value = saved.save();
    load(&saved, value.clone());
    assert_eq!(shared.session().takes().len(), 1);
    assert_eq!(saved.save(), value);
}

#[test]
fn an_unreadable_state_is_reported_and_loses_nothing() {
    let (shared, saved) = heard();
    let good = saved.save();
    let wrong_shape = envelope::seal(&json!({ "takes": "none" }));
    let with_takes = |takes: &str| {
        let mut body = good["body"].clone();
        body["takes"] = json!(takes);
        envelope::seal(&body)
    };
    let mut cut = packed(&good);
    cut[13] ^= 0x40;
    for (bad, word) in [
        (Value::Null, "not recognised"),
        (json!([1, 2, 3]), "not recognised"),
        (json!("{\"overbar\":1,\"crc32"), "not recognised"),
        (json!({ "overbar": 1, "crc32": 1, "body": {} }), "checksum"),
        (wrong_shape, "damaged"),
        (with_takes("*"), "damaged"),
        (with_takes(""), "not an Overbar project"),
        (with_takes(&BASE64.encode(cut)), "checksum"),
    ] {
        load(&saved, bad);
        let notice = shared.panel.notices().pop().unwrap();
        assert!(notice.contains(word), "{notice}");
        assert_eq!(saved.save(), good);
    }
}

/// One damaged take does not affect the others, and is kept until it can be read.
#[test]
fn a_take_that_cannot_be_read_is_kept() {
    let (_, saved) = heard();
    let good = saved.save();
    let mut bytes = packed(&good);
    let last = bytes.len() - 1;
    bytes[last] ^= 0xff;
    let mut body = good["body"].clone();
    body["takes"] = json!(BASE64.encode(&bytes));
    let fresh = Arc::new(Shared::default());
    let reopened = Saved::new(fresh.clone());
    load(&reopened, envelope::seal(&body));
    assert_eq!(fresh.session().takes().len(), 1);
    assert!(fresh.panel.notices()[0].contains("damaged"), "{:?}", fresh.panel.notices());
    assert_eq!(packed(&reopened.save()), bytes);
}

#[test]
fn a_deleted_take_comes_back_from_the_project() {
    let (shared, saved) = heard();
    let id = shared.session().takes()[0].id;
    shared.panel.send(Command::Rename(id, "Bridge pass".to_owned()));
    shared.panel.send(Command::Delete(id));
    let value = saved.save();
    assert_eq!(shared.session().takes().len(), 0);
    let fresh = Arc::new(Shared::default());
    let reopened = Saved::new(fresh.clone());
    load(&reopened, value.clone());
    assert_eq!(fresh.session().takes().len(), 1, "only the one that was under way");
    assert_eq!(reopened.save(), value);
    // Undone where it was deleted, it also returns where both states are merged.
    shared.panel.send(Command::Undo);
    load(&reopened, saved.save());
    assert_eq!(fresh.session().takes()[0].id, id);
    let name = fresh.take_store().metadata(id).unwrap().labels.name.value.clone();
    assert_eq!(name, "Bridge pass");
}

#[test]
fn a_newer_state_is_saved_back_unchanged() {
    let (shared, saved) = heard();
    let newer = json!({ "overbar": 7, "whatever": [1, 2], "crc32": 0 });
    load(&saved, newer.clone());
    assert!(shared.panel.notices()[0].contains("newer version of Overbar (state version 7)"));
    assert_eq!(saved.save(), newer);
    assert_eq!(shared.session().takes().len(), 1, "what was in memory is still there");
}

#[test]
fn a_missing_or_malformed_field_is_still_seen() {
    let mut fields = BTreeMap::new();
    make_readable(&mut fields);
    assert_eq!(fields[FIELD], "null");
    fields.insert(FIELD.to_owned(), "{\"overbar\":1,".to_owned());
    make_readable(&mut fields);
    assert_eq!(serde_json::from_str::<Value>(&fields[FIELD]).unwrap(), json!("{\"overbar\":1,"));
}
