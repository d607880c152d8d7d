use super::*;
use crate::theory::pitch::PitchClass;

fn numbers(set: PitchSet) -> Vec<u8> {
    set.pitches().map(PitchClass::number).collect()
}

/// Tones and guide tones by the table in the module's documentation.
#[test]
fn the_table_of_spellings() {
    let table: &[(&str, &[u8], &[u8])] = &[
        ("C Cmaj CM", &[0, 4, 7], &[4]),
        ("Cm Cmin C- Cmi C−", &[0, 3, 7], &[3]),
        ("C° Co Cdim", &[0, 3, 6], &[3]),
        ("C+ Caug", &[0, 4, 8], &[4]),
        ("C5", &[0, 7], &[]),
        ("Csus Csus4", &[0, 5, 7], &[5]),
        ("Csus2", &[0, 2, 7], &[2]),
        ("Csus24", &[0, 2, 5, 7], &[2, 5]),
        ("C6 Cmaj6", &[0, 4, 7, 9], &[4, 9]),
        ("Cm6 C-6", &[0, 3, 7, 9], &[3, 9]),
        ("C69 C6/9 C6(9)", &[0, 2, 4, 7, 9], &[4, 9]),
        ("Cm69 C-69 Cm6/9", &[0, 2, 3, 7, 9], &[3, 9]),
        ("C7 Cdom7", &[0, 4, 7, 10], &[4, 10]),
        ("CΔ CΔ7 C∆7 Cmaj7 Cma7 CM7 Cj7 C^ C(maj7)", &[0, 4, 7, 11], &[4, 11]),
        ("Cm7 Cmin7 Cmi7 C-7", &[0, 3, 7, 10], &[3, 10]),
        ("CmM7 CmΔ Cm(maj7) C-j7 C-Δ7 Cmin(maj7)", &[0, 3, 7, 11], &[3, 11]),
        ("Cø Cø7 CØ7 Cm7b5 C-7b5 Cm7(♭5) Cm7-5 Cmin7b5", &[0, 3, 6, 10], &[3, 10]),
        ("C°7 Co7 Cdim7 Cº7", &[0, 3, 6, 9], &[3, 9]),
        ("C°M7 Cdim(maj7)", &[0, 3, 6, 11], &[3, 11]),
        ("C+7 Caug7 C7+ C7#5 C7♯5 C7aug C7+5", &[0, 4, 8, 10], &[4, 10]),
        ("C+M7 CΔ#5 Cmaj7#5 C+(maj7)", &[0, 4, 8, 11], &[4, 11]),
        ("C7sus C7sus4 Csus7", &[0, 5, 7, 10], &[5, 10]),
        ("C9sus4 C9sus Csus9 Csus79", &[0, 2, 5, 7, 10], &[5, 10]),
        ("C13sus4 Csus13 Csus7913", &[0, 2, 5, 7, 9, 10], &[5, 10]),
        ("C7alt Calt C7(alt)", &[0, 1, 3, 4, 6, 8, 10], &[4, 10]),
        ("C9 C79", &[0, 2, 4, 7, 10], &[4, 10]),
        ("C11", &[0, 2, 4, 5, 7, 10], &[4, 10]),
        ("C13", &[0, 2, 4, 7, 9, 10], &[4, 10]),
        ("Cm11", &[0, 2, 3, 5, 7, 10], &[3, 10]),
        ("Cm13", &[0, 2, 3, 5, 7, 9, 10], &[3, 10]),
        ("Cmaj9 CΔ9 CM9 Cj79", &[0, 2, 4, 7, 11], &[4, 11]),
        ("Cø9 Cm9b5", &[0, 2, 3, 6, 10], &[3, 10]),
        ("Cadd9 Cadd2 C2 C(add9)", &[0, 2, 4, 7], &[4]),
        ("Cmadd9 C-add9 Cm(add9)", &[0, 2, 3, 7], &[3]),
        ("Cmaj7#11 CΔ(#11) Cmaj7+11", &[0, 4, 6, 7, 11], &[4, 11]),
        ("C7b9 C7(b9) C7-9 C79b", &[0, 1, 4, 7, 10], &[4, 10]),
        ("C13b9 C7(b9,13)", &[0, 1, 4, 7, 9, 10], &[4, 10]),
        ("C79b13", &[0, 1, 4, 7, 9, 10], &[4, 10]),
        ("C79b13b C7b9b13 C7(b9,b13)", &[0, 1, 4, 7, 8, 10], &[4, 10]),
        ("C9b13", &[0, 2, 4, 7, 8, 10], &[4, 10]),
        ("C7911#", &[0, 2, 4, 6, 7, 10], &[4, 10]),
        ("C7#9#5 C+7#9 C+79#", &[0, 3, 4, 8, 10], &[4, 10]),
        ("C7no3 C7omit3", &[0, 7, 10], &[10]),
        ("Comit5", &[0, 4], &[4]),
        ("C/D", &[0, 2, 4, 7], &[4]),
        ("C6/G C6/A", &[0, 4, 7, 9], &[4, 9]),
        ("C-7/Bb", &[0, 3, 7, 10], &[3, 10]),
        ("Bb7/C", &[0, 2, 5, 8, 10], &[2, 8]),
        ("F#m7b5 Gbø", &[0, 4, 6, 9], &[4, 9]),
    ];
    for (symbols, tones, guides) in table {
        for symbol in symbols.split(' ') {
            let chord = parse(symbol).unwrap_or_else(|e| panic!("{symbol}: {e}")).unwrap();
            let what = format!("{symbol} of {symbols}");
            assert_eq!(numbers(chord.tones), *tones, "{what}");
            assert_eq!(numbers(chord.guides), *guides, "{what}");
        }
    }
    let spaced = parse("C7 (b9, b13)").unwrap().unwrap();
    assert_eq!(numbers(spaced.tones), [0, 1, 4, 7, 8, 10]);
}

#[test]
fn no_chord_is_none() {
    for symbol in ["NC", "N.C.", "n.c.", " NC "] {
        assert_eq!(parse(symbol), Ok(None), "{symbol}");
    }
}

#[test]
fn errors_name_the_unreadable_part() {
    let rest = |rest: &str| SymbolError::NotUnderstood { rest: rest.to_owned() };
    for (symbol, error) in [
        ("", SymbolError::Empty),
        ("H7", SymbolError::NoRoot),
        ("c7", SymbolError::NoRoot),
        ("(Dm7)", SymbolError::NoRoot),
        ("Cq7", rest("q7")),
        ("C7b", rest("b")),
        ("C7x9", rest("x9")),
        ("C7b11", rest("b11")),
        ("Cadd5", rest("add5")),
        ("C4", rest("4")),
        ("C7(b9", SymbolError::Bracket),
        ("C7b9)", SymbolError::Bracket),
        ("C/", SymbolError::NoBass { rest: String::new() }),
        ("C/E7", SymbolError::NoBass { rest: "E7".to_owned() }),
    ] {
        assert_eq!(parse(symbol), Err(error), "{symbol}");
    }
}

proptest::proptest! {
    #[test]
    fn no_text_breaks_it(text in "\\PC{0,24}") {
        let _read = parse(&text);
    }

    /// Transposing a symbol transposes its tones.
    #[test]
    fn every_root_gives_the_same_chord(body in "(m|-|maj|°|\\+|ø)?(6|7|9|13)?(b5|#9|sus4)?", up in 0_usize..12) {
        let roots = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];
        let at = |root: &str| parse(&format!("{root}{body}")).map(|c| c.map(|c| c.tones));
        let moved = at("C").map(|c| c.map(|tones| tones.up(u8::try_from(up).unwrap())));
        // A flat right after the root belongs to the root.
        proptest::prop_assume!(!body.starts_with(['b', '#']));
        proptest::prop_assert_eq!(at(roots[up]), moved);
    }
}
