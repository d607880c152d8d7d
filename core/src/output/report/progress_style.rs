//! How the page looks, on a screen and on paper.

/// The style sheet. It names no font that has to be fetched.
pub const STYLE: &str = "\
:root { color-scheme: light; --ink: #1c2024; --dim: #59636e; --rule: #d0d7de; --mark: #0b5cad; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 62rem; padding: 1.5rem; color: var(--ink); background: #fff;
  font: 16px/1.45 system-ui, sans-serif; }
h1 { font-size: 1.7rem; margin: 0 0 .3rem; }
h2 { font-size: 1.4rem; margin: 0 0 .3rem; }
h3 { font-size: 1.05rem; margin: 1.2rem 0 .3rem; }
p { margin: .3rem 0; }
ul, ol { margin: .3rem 0; padding-left: 1.4rem; }
li { margin: .25rem 0; overflow-wrap: anywhere; }
nav ul { display: flex; flex-wrap: wrap; gap: .3rem 1rem; padding: 0; list-style: none; }
a { color: var(--mark); }
section { border-top: 2px solid var(--ink); margin-top: 2rem; padding-top: 1rem;
  overflow-wrap: anywhere; }
.by, .evidence, small { color: var(--dim); font-size: .87em; }
.evidence { display: block; }
table { width: 100%; border-collapse: collapse; font-size: .9rem; font-variant-numeric: tabular-nums; }
th, td { padding: .25rem .5rem .25rem 0; border-bottom: 1px solid var(--rule); text-align: left;
  vertical-align: middle; }
thead th { color: var(--dim); font-weight: 600; font-size: .85em; overflow-wrap: normal; }
td { overflow-wrap: normal; white-space: nowrap; }
tbody th { font-weight: 400; min-width: 11rem; }
svg { display: block; width: 9rem; height: 2.5rem; }
svg .norm { fill: #e3e7eb; }
svg .interval { stroke: #8fa8c4; stroke-width: 1.5; }
svg circle { fill: var(--mark); }
svg polyline { fill: none; stroke: var(--mark); stroke-width: 1; }
@media (max-width: 45rem) { table { display: block; overflow-x: auto; } }
@page { size: A4; margin: 12mm; }
@media print {
  body { max-width: none; padding: 0; font-size: 8.5pt; line-height: 1.3; }
  h1 { font-size: 13pt; }
  h2 { font-size: 13pt; }
  h3 { font-size: 9.5pt; }
  nav { display: none; }
  section { break-before: page; border-top: 0; margin-top: 0; padding-top: 0; }
  section:first-child { break-before: auto; }
  h3 { margin: .5rem 0 .15rem; break-after: avoid; }
  li { margin: .1rem 0; }
  th, td { padding: .1rem .4rem .1rem 0; }
  li, tr { break-inside: avoid; }
  table { font-size: 8pt; }
  svg { width: 7rem; height: 1.6rem; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
";
