//! The pages, as a browser lays them out: nothing wider than a phone, text that stands out from its
//! ground by day and by night, headings in order, nothing on a staff that meets its words, and a table that
//! sorts.
//!
//! The pages stay in `pages` of the target's folder for tests, to be looked at.

mod browser;
mod invented;

use browser::{Browser, Look};
use serde_json::Value;

/// A contrast by WCAG 2.2, success criterion 1.4.3, and a width by 1.4.10 of nearly 320: the
/// narrowest phones that are sold.
const PHONE: u32 = 360;

fn looked_at(look: Look) -> Option<Value> {
    let pages = invented::pages();
    let browser = Browser::found("no Chromium here: width, contrast and sorting of pages")?;
    Some(browser.measure(&pages, PHONE, look))
}

/// Nothing of what was measured is wrong.
fn nothing_is_wrong(found: &Value) {
    for (name, page) in found.as_object().unwrap() {
        for (what, wrong) in page["wrong"].as_object().unwrap() {
            assert_eq!(wrong, &Value::Array(Vec::new()), "{name}: {what}");
        }
        assert!(page["texts"].as_u64().unwrap() > 50, "{name}: {page}");
    }
    for name in ["take", "small", "comp"] {
        assert!(found[name]["staves"].as_u64().unwrap() > 3, "{name}");
    }
}

#[test]
fn by_day_on_a_phone() {
    let Some(found) = looked_at(Look::Light) else { return };
    nothing_is_wrong(&found);
    assert_eq!(found["take"]["paper"], "rgb(251, 248, 241)");
    let sorted = &found["index"]["sorted"];
    let names: Vec<&str> =
        sorted["by_name"].as_array().unwrap().iter().map(|name| name.as_str().unwrap()).collect();
    assert_eq!(names.len(), invented::CLASS + 1);
    assert!(
        names.windows(2).all(|pair| pair[0].to_lowercase() <= pair[1].to_lowercase()),
        "{names:?}"
    );
    let shares: Vec<f64> =
        sorted["by_share"].as_array().unwrap().iter().filter_map(Value::as_f64).collect();
    assert_eq!(shares.len(), invented::CLASS, "what has no share comes last");
    assert!(shares.is_sorted_by(|a, b| a >= b), "{shares:?}");
}

#[test]
fn by_night_on_a_phone() {
    let Some(found) = looked_at(Look::Dark) else { return };
    nothing_is_wrong(&found);
    assert_eq!(found["take"]["paper"], "rgb(20, 24, 31)");
}
