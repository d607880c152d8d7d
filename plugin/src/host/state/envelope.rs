//! The envelope around what is saved: a mark, a version, a checksum, the body.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

/// Version of the body. A change that an older Overbar cannot read raises it.
const VERSION: u64 = 1;

/// What stands in the framework's field: any JSON at all until it has been opened.
#[derive(Serialize, Deserialize)]
#[serde(transparent)]
pub struct Envelope(pub Value);

/// An envelope that could be opened.
pub enum Opened {
    /// A body of this version; its checksum is right.
    Body(Value),
    /// Written by a newer Overbar.
    Newer {
        /// Its version.
        version: u64,
        /// The envelope as it came.
        whole: Value,
    },
}

/// Puts `body` into an envelope. Every number in it must be finite.
pub fn seal(body: &impl Serialize) -> Value {
    let body = serde_json::to_value(body).unwrap_or(Value::Null);
    json!({ "overbar": VERSION, "crc32": checksum(&body), "body": body })
}

/// Opens an envelope.
///
/// # Errors
/// A sentence for the user that says what is wrong.
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
    fn what_is_sealed_opens_again() {
        let body = json!({ "a": 0.1, "b": [1, 2.5e-7], "c": null });
        let text = seal(&body).to_string();
        let Ok(Opened::Body(opened)) = open(serde_json::from_str(&text).unwrap()) else {
            panic!("not opened")
        };
        assert_eq!(opened, body);
    }

    #[test]
    fn garbage_damage_and_newer_versions_are_told_apart() {
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
