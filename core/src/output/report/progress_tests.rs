//! Pages for a teacher: names are escaped, and progress is in words.

use super::progress_words::{points, signed, value};
use super::{Student, progress_report};
use crate::stats::Share;
use crate::study::advice::advise_on;
use crate::study::advice::measure::Measure;
use crate::study::advice::measures::Measures;
use crate::study::progress::day::Day;
use crate::study::progress::periods::{DatedDrill, DatedTake, TakeFilter};
use crate::study::progress::progress;

/// A student whose texts all try to inject markup.
fn student(name: &str) -> Student {
    let day = Day::parse("2025-03-03").unwrap();
    let measures =
        Measures { beat_one_entries: Share { count: 18, of: 20 }, ..Measures::default() };
    let take = |days, measures: &Measures| DatedTake {
        day: day.plus(days),
        player: name.to_owned(),
        tune: "<b>Tune</b>".to_owned(),
        measures: measures.clone(),
    };
    let well = Measures { beat_one_entries: Share { count: 2, of: 80 }, ..Measures::default() };
    let drill = DatedDrill {
        day,
        player: name.to_owned(),
        tune: String::new(),
        drill: "\"and\" of 4 & <i>more</i>".to_owned(),
        result: Share { count: 3, of: 4 },
    };
    let takes = [take(0, &well), take(14, &measures)];
    let progress = progress(&takes, &[drill], TakeFilter::default(), day.plus(14));
    Student {
        name: name.to_owned(),
        tunes: vec!["<b>Tune</b>".to_owned()],
        advice: advise_on(&progress.this_week),
        progress,
        advice_on: "the takes of <this> week".to_owned(),
        listen_in: "</span><script>".to_owned(),
    }
}

#[test]
fn all_texts_are_escaped() {
    let name = "</h2><script>alert('x')</script>\u{7}";
    let html = progress_report("A & B < C", Day::parse("2025-03-17").unwrap(), &[student(name)]);
    assert!(!html.contains("<script") && !html.contains("<b>") && !html.contains("<i>"));
    assert!(html.contains("&lt;/h2&gt;&lt;script&gt;alert('x')&lt;/script&gt;\u{fffd}"), "{html}");
    assert!(!html.contains('\u{7}'));
    assert!(html.contains("<title>A &amp; B &lt; C</title>"));
    assert!(html.contains("&quot;and&quot; of 4 &amp; &lt;i&gt;more&lt;/i&gt;"));
    // Nothing is fetched.
    assert!(!["http:", "https:", "src=", "url("].iter().any(|link| html.contains(link)));
}

#[test]
fn what_changed_and_what_to_practise() {
    let html = progress_report(
        "Progress",
        Day::parse("2025-03-17").unwrap(),
        &[student("Ada"), student("Ben")],
    );
    let changed = "Phrases that start on beat one: 90\u{a0}% this week (20 counted), 2\u{a0}% last month (80)";
    assert!(html.contains(changed), "{html}");
    assert!(html.contains("<strong>Many phrases start on beat one.</strong> Start every phrase"));
    assert_eq!(html.matches("<section class=\"page\" id=").count(), 2);
    assert_eq!(html.matches("<svg").count(), html.matches("</svg>").count());
    let none = Student { tunes: Vec::new(), ..student("Cy") };
    let empty = progress(&[], &[], TakeFilter::default(), Day::parse("2025-03-17").unwrap());
    let none = Student { advice: advise_on(&empty.this_week), progress: empty, ..none };
    let html = progress_report("Progress", Day::parse("2025-03-17").unwrap(), &[none]);
    assert!(html.contains("Nothing to compare this week with yet."));
    assert!(html.contains("Not enough phrases for advice yet."));
}

#[test]
fn numbers_as_people_write_them() {
    assert_eq!(signed(-0.3), "0");
    assert_eq!(signed(-3.6), "−4");
    assert_eq!(value(Measure::BeatOneEntries, 0.125), "12\u{a0}%");
    assert_eq!(points(Measure::Lag, 2.4), "2\u{a0}ms");
}
