//! Form and chords: choruses, sections, counts of chord tones, and note names.
//!
//! [`symbol`] parses a chord symbol, [`chart::Chart`] a line of them; [`changes::Changes`] has the chord at
//! each beat, and [`counts`] compares notes with it. [`form`] is the form of a tune. [`spelling`] names played
//! keys, [`key`] finds the key, and [`interval`] transposes for the instruments in [`instrument`].
//!
//! # Chord symbols
//! A root, A to G in capitals with at most one accidental, then any of these. Brackets, commas and
//! spaces are separators. A slash adds its bass note to the chord's tones.
//!
//! | written | semitones above the root | guide tones |
//! |---|---|---|
//! | `C`, `Cmaj`, `CM` | 0 4 7 | 4 |
//! | `Cm`, `Cmin`, `C-` | 0 3 7 | 3 |
//! | `C°`, `Co`, `Cdim` | 0 3 6 | 3 |
//! | `C+`, `Caug` | 0 4 8 | 4 |
//! | `C5` | 0 7 | none |
//! | `Csus`, `Csus4`; `Csus2`; `Csus24` | 0 5 7; 0 2 7; 0 2 5 7 | 5; 2; 2 5 |
//! | `C6`; `Cm6` | 0 4 7 9; 0 3 7 9 | third, 9 |
//! | `C69`, `C6/9`; `Cm69` | with 2 | the same |
//! | `C7` | 0 4 7 10 | 4 10 |
//! | `CΔ`, `CΔ7`, `Cmaj7`, `Cma7`, `CM7`, `Cj7` | 0 4 7 11 | 4 11 |
//! | `Cm7`, `Cmin7`, `C-7` | 0 3 7 10 | 3 10 |
//! | `CmM7`, `CmΔ`, `Cm(maj7)`, `C-j7` | 0 3 7 11 | 3 11 |
//! | `Cø`, `Cø7`, `Cm7b5` | 0 3 6 10 | 3 10 |
//! | `C°7`, `Co7`, `Cdim7` | 0 3 6 9 | 3 9 |
//! | `C+7`, `Caug7`, `C7+`, `C7#5`; `C+M7` | 0 4 8 10; 0 4 8 11 | third, seventh |
//! | `C7sus`, `C7sus4`, `Csus7` | 0 5 7 10 | 5 10 |
//! | `C7alt`, `Calt` | 0 1 3 4 6 8 10 | 4 10 |
//! | `C9`; `C11`; `C13` and as `maj9`, `m9`, `ø9` … | 7 with 2; 2 5; 2 9 | third, seventh |
//! | `Cadd9`, `Cadd2`, `C2`, `Cadd#11` … | the triad with it | as without |
//! | `C7b9`, `C13#11`, `C7(#9, b13)`, `C7-9`, `C7+11` … | with it; `b5`, `#5` in place of 7 | as without |
//! | `C7no3`, `C7omit5` | without it | as without |
//! | `NC`, `N.C.` | no chord | |
//!
//! A thirteenth with a major third omits the eleventh, and an altered ninth or eleventh replaces the
//! plain one: common practice, no source. In runs of tensions such as `C79b13` the accidental follows its
//! number (b9, 13), as in the Weimar Jazz Database; otherwise it precedes it, as in `C9b13`.
//!
//! # Chord lines
//! `| Cm7 F7 | Bbmaj7 | % | |`: bars between bar lines. The chords of a bar share its beats evenly, the
//! earlier ones taking the remainder. `%` or an empty bar repeats the bar before, `/` repeats the chord
//! before for one more share, and `|: … :|` is played twice. A new line is a bar line.

pub mod changes;
pub mod chart;
pub mod counts;
pub mod form;
pub mod instrument;
pub mod interval;
pub mod key;
pub mod name;
pub mod pitch;
mod scan;
pub mod spelling;
pub mod symbol;
pub mod symbol_error;
