//! The frame of every page.

use super::escape;
use super::style;

/// A page with `title` as its heading and `under` below it. `body` is HTML.
pub fn page(title: &str, under: &str, body: &str) -> String {
    let (title, under) = (escape(title), escape(under));
    let style = style::sheet();
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; \
         style-src 'unsafe-inline'\">\n\
         <title>{title}</title>\n<style>\n{style}</style>\n</head>\n<body>\n<main>\n\
         <header>\n<h1><bdi>{title}</bdi></h1>\n<p class=\"soft\">{under}</p>\n</header>\n\
         {body}</main>\n</body>\n</html>\n"
    )
}

/// A table. Cells are HTML; the first of each line is its heading. Columns that are marked hold
/// numbers.
pub fn table(caption: &str, head: &[(&str, bool)], lines: &[Vec<String>]) -> String {
    let class = |is_number: bool| if is_number { " class=\"n\"" } else { "" };
    let mut out = format!(
        "<div class=\"wide\" role=\"region\" tabindex=\"0\" aria-label=\"{caption}\">\n<table>\n\
         <caption>{caption}</caption>\n<thead><tr>",
        caption = escape(caption)
    );
    for (name, is_number) in head {
        let (class, name) = (class(*is_number), escape(name));
        out.push_str(&format!("<th scope=\"col\"{class}>{name}</th>"));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for line in lines {
        out.push_str("<tr>");
        for (index, cell) in line.iter().enumerate() {
            let class = class(head.get(index).is_some_and(|(_, is_number)| *is_number));
            let (open, close) = if index == 0 { ("th scope=\"row\"", "th") } else { ("td", "td") };
            out.push_str(&format!("<{open}{class}>{cell}</{close}>"));
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n</div>\n");
    out
}

/// A list; its items are plain text.
pub fn list(items: impl IntoIterator<Item = String>) -> String {
    let items: String =
        items.into_iter().map(|item| format!("<li>{}</li>\n", escape(&item))).collect();
    if items.is_empty() { items } else { format!("<ul>\n{items}</ul>\n") }
}
