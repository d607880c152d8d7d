//! The frame of every page, its tables, lists and pictures.

use super::style;
use maud::{DOCTYPE, Markup, html};

/// A page with `title` as its heading and `subtitle` below it.
pub fn page(title: &str, subtitle: &str, body: &Markup) -> String {
    let body = html! {
        main {
            header {
                h1 { bdi { (title) } }
                p.soft { (subtitle) }
            }
            (body)
        }
    };
    document(title, &style::sheet(), &body)
}

/// A whole document that loads nothing and runs nothing.
pub fn document(title: &str, style: &str, body: &Markup) -> String {
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy"
                    content="default-src 'none'; style-src 'unsafe-inline'";
                title { (title) }
                style { (maud::PreEscaped(style)) }
            }
            body { (body) }
        }
    };
    document.into_string().chars().map(printable).collect()
}

/// A character that HTML forbids, such as a control character in a name, becomes U+FFFD.
fn printable(c: char) -> char {
    let code = u32::from(c);
    let is_noncharacter = (0xFDD0..=0xFDEF).contains(&code) || code & 0xFFFE == 0xFFFE;
    let is_allowed = !c.is_control() || matches!(c, '\t' | '\n');
    if is_allowed && !is_noncharacter { c } else { char::REPLACEMENT_CHARACTER }
}

/// A table whose first column holds the row headings. Columns that are marked hold numbers.
pub fn table(caption: &str, head: &[(&str, bool)], rows: &[Vec<Markup>]) -> Markup {
    let class = |column: usize| head.get(column).and_then(|(_, number)| number.then_some("n"));
    html! {
        div.wide role="region" tabindex="0" aria-label=(caption) {
            table {
                caption { (caption) }
                thead {
                    tr {
                        @for (column, (name, _)) in head.iter().enumerate() {
                            th scope="col" class=[class(column)] { (name) }
                        }
                    }
                }
                tbody {
                    @for row in rows {
                        tr {
                            @for (column, cell) in row.iter().enumerate() {
                                @if column == 0 {
                                    th scope="row" class=[class(column)] { (cell) }
                                } @else {
                                    td class=[class(column)] { (cell) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A bulleted list; nothing without items.
pub fn list<T: ToString>(items: impl IntoIterator<Item = T>) -> Markup {
    let mut items = items.into_iter().peekable();
    html! {
        @if items.peek().is_some() {
            ul {
                @for item in items { li { (item.to_string()) } }
            }
        }
    }
}

/// "1 phrase", "2 phrases".
pub fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

/// A length in a picture.
pub fn px(length: f64) -> String {
    format!("{length:.1}")
}

/// A picture `WIDTH` by `height` with a title and a description for those who do not see it. `id`
/// tells it from others on the page.
pub fn picture(id: &str, height: f64, title: &str, description: &str, drawn: &Markup) -> Markup {
    let (title_id, description_id) = (format!("{id}t"), format!("{id}d"));
    html! {
        svg viewBox={ "0 0 " (WIDTH) " " (height) } role="img"
            aria-labelledby={ (title_id) " " (description_id) } {
            title id=(title_id) { (title) }
            desc id=(description_id) { (description) }
            (drawn)
        }
    }
}

/// Width of a picture, in its own units.
pub const WIDTH: f64 = 480.0;
