//! The floor of each case, a little below the measured figures.

use super::figures::Figures;
use super::playing::Case;

/// Minimum: F of the beats, correct downbeats, agreement of classes, and the share of confident beats that
/// are right.
type Floor = [f64; 4];

/// Live, after the take, and after it with an anchor every eight bars. Origin: seed 9, every 8th solo from
/// the second on, TimGM6mb, on 2026-11-30; nothing was fitted to these solos, that seed or that soundfont.
fn floors(case: Case) -> [Floor; 3] {
    match case {
        Case::Plain => {
            [[0.98, 0.98, 0.87, 0.98], [0.98, 0.98, 0.86, 0.98], [0.98, 0.98, 0.87, 0.98]]
        }
        Case::Loose => {
            [[0.93, 0.93, 0.68, 0.97], [0.93, 0.93, 0.72, 0.97], [0.98, 0.98, 0.80, 0.98]]
        }
        Case::NoDrums => {
            [[0.94, 0.94, 0.81, 0.94], [0.94, 0.94, 0.83, 0.94], [0.98, 0.98, 0.86, 0.98]]
        }
        Case::HalfTime => {
            [[0.98, 0.98, 0.84, 0.98], [0.98, 0.98, 0.85, 0.98], [0.98, 0.98, 0.86, 0.98]]
        }
        Case::Alone => {
            [[0.90, 0.85, 0.75, 0.97], [0.97, 0.93, 0.82, 0.98], [0.98, 0.98, 0.82, 0.98]]
        }
        Case::Break => {
            [[0.93, 0.86, 0.78, 0.97], [0.97, 0.92, 0.83, 0.98], [0.97, 0.97, 0.85, 0.98]]
        }
    }
}

/// The figures below their floors, for one degree of hindsight with its number and name.
pub fn missed(case: Case, (number, hindsight): (usize, &str), figures: &Figures) -> Vec<String> {
    let is = [figures.f(), figures.downbeats(), figures.classes(), figures.sure_and_right()];
    let names = ["F", "right downbeats", "agreement of classes", "right among sure beats"];
    let floor = floors(case).get(number).copied().unwrap_or_default();
    let under = names.iter().zip(is).zip(floor).filter(|((_, is), floor)| is < floor);
    let say = |((name, is), floor): ((&&str, f64), f64)| {
        format!("{}, {hindsight}: {name} {is:.3}, the floor is {floor}", case.name())
    };
    under.map(say).collect()
}
