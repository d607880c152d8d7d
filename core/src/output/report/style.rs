//! How a page looks: paper and ink, on a screen, on a phone and on A4.
//!
//! Text keeps a contrast of 4.5 to 1 on its ground and marks one of 3 to 1 (WCAG 2.2, success
//! criteria 1.4.3 and 1.4.11), which a test computes. Shape says the same as colour.

/// The paper.
pub const PAPER: &str = "#fbf8f1";
/// Text.
pub const INK: &str = "#1d2430";
/// Text that explains.
pub const SOFT: &str = "#566072";
/// Entries on beat one.
pub const ONE: &str = "#b3361f";
/// Entries on another beat.
pub const BEAT: &str = "#3c63a8";
/// Entries off the beat.
pub const OFF: &str = "#a8700a";
/// What recorded solos do.
pub const NORM: &str = "#3b7d6b";
/// Lines that only part things.
pub const RULE: &str = "#d9d2c3";

/// The style sheet.
#[must_use]
pub fn sheet() -> String {
    format!(
        "\
*{{box-sizing:border-box}}
body{{margin:0;background:{PAPER};color:{INK};font:16px/1.5 system-ui,-apple-system,\"Segoe UI\",\
\"DejaVu Sans\",sans-serif}}
main{{max-width:60rem;margin:0 auto;padding:1.5rem 1rem 4rem}}
header{{border-bottom:3px solid {INK};padding-bottom:.75rem;margin-bottom:1.5rem}}
h1{{font-size:1.75rem;line-height:1.2;margin:0;overflow-wrap:anywhere}}
h2{{font-size:1.2rem;margin:2.25rem 0 .5rem;padding-left:.6rem;border-left:5px solid {INK}}}
h3{{font-size:1rem;margin:1.5rem 0 .25rem}}
p{{margin:.4rem 0;max-width:44rem}}
.soft,figcaption,caption{{color:{SOFT};font-size:.875rem}}
.big{{display:flex;flex-wrap:wrap;gap:.25rem 1.25rem;align-items:baseline}}
.big strong{{font-size:3.5rem;line-height:1;letter-spacing:-.02em}}
figure{{margin:.75rem 0}}
svg{{display:block;width:100%;max-width:40rem;height:auto}}
svg text{{font-family:inherit;fill:{INK}}}
.wide{{overflow-x:auto}}
table{{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}}
caption{{text-align:left;padding-bottom:.3rem}}
th,td{{text-align:left;padding:.3rem .75rem .3rem 0;border-bottom:1px solid {RULE};\
vertical-align:top;overflow-wrap:break-word}}
tbody th{{min-width:5rem;max-width:16rem}}
thead th{{color:{SOFT};font-size:.875rem;font-weight:600}}
td.n,th.n{{text-align:right}}
ul{{padding-left:1.2rem;max-width:44rem}}
li{{margin:.3rem 0}}
a{{color:#27508f}}
.key span{{display:inline-block;margin-right:1.1rem;white-space:nowrap}}
.nowrap{{white-space:nowrap}}
.key svg{{display:inline-block;width:26px;height:12px;vertical-align:middle;margin-right:.35rem}}
@media (max-width:34rem){{body{{font-size:15px}}h1{{font-size:1.4rem}}.big strong{{font-size:2.75rem}}\
td,th{{padding-right:.5rem}}}}
@page{{size:A4;margin:15mm}}
@media print{{body{{background:#fff;font-size:10.5pt}}main{{max-width:none;padding:0}}\
table{{font-size:9pt}}h2,h3,.key,caption{{break-after:avoid}}figure,tr{{break-inside:avoid}}.wide{{overflow:visible}}}}
"
    )
}
