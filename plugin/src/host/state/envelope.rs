//! The envelope of the saved state: a marker, a version, a checksum, the body.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

/// Version of the body, raised by any change that an older Overbar cannot read.
const VERSION: u64 = 1;

/// The framework's field: arbitrary JSON until it is opened.
#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub struct Envelope(pub Value);

/// An opened envelope.
pub enum Opened {
    /// A body of this version with a correct checksum.
    Body(Value),
    /// Written by a newer Overbar.
    Newer {
        /// Its version.
        version: u64,
        /// The unchanged envelope.
        whole: Value,
    },
}

/// Seals `body` in an envelope. Its numbers must be finite.
pub fn seal(body: &impl Serialize) -> Value {
    let body = serde_json::to_value(body).unwrap_or(Value::Null);
    json!({ "overbar": VERSION, "crc32": checksum(&body), "body": body })
}

/// Opens an envelope.
///
/// # Errors
/// What is wrong, as a sentence for the user.
pub fn open(mut whole: Value) -> Result<Opened, String> {
    let version = whole
        .get("overbar")
        .and_then(Value::as_u64)
        .ok_or("Saved data not recognised; starting fresh.")?;
    if version > VERSION {
        return Ok(Opened::Newer { version, whole });
    }
    let noted = whole.get("crc32").and_then(Value::as_u64);
    let body = whole.get_mut("body").map(Value::take).unwrap_or_default();
    if noted != Some(checksum(&body)) {
        return Err("Saved data is damaged (wrong checksum); starting fresh.".into());
    }
    Ok(Opened::Body(body))
}

/// CRC-32 (ISO-HDLC) of the body as compact JSON with its keys in order.
fn checksum(body: &Value) -> u64 {
    crc32fast::hash(body.to_string().as_bytes()).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn error(whole: Value) -> String {
        match open(whole) {
            Err(message) => message,
            Ok(_) => panic!("opened"),
        }
    }

    #[test]
    fn a_sealed_body_opens_again() {
        let body = json!({ "a": 0.1, "b": [1, 2.5e-7], "c": null });
        let text = seal(&body).to_string();
        let Ok(Opened::Body(opened)) = open(serde_json::from_str(&text).unwrap()) else {
            panic!("not opened")
        };
        assert_eq!(opened, body);
    }

    #[test]
    fn garbage_damage_and_newer_versions_are_distinguished() {
        assert!(error(Value::Null).contains("not recognised"));
        assert!(error(json!("\u{1}garbage")).contains("not recognised"));
        let mut damaged = seal(&json!({ "takes": [1, 2] }));
        damaged["body"]["takes"][0] = json!(7);
        assert!(error(damaged).contains("checksum"));
        let newer = json!({ "overbar": 9, "anything": true });
        match open(newer.clone()) {
            Ok(Opened::Newer { version: 9, whole }) => assert_eq!(whole, newer),
            _ => panic!("not told apart"),
        }
    }
}
