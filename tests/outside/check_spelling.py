"""Names of notes, keys and transposition against music21, and names against printed tunes.

First, tunes. music21's package brings old collections in ABC: O'Neill's Music of Ireland (1903) and
Ryan's Mammoth Collection (1883). Both books are in the public domain. Their transcribers let
music21 pass their files on, and neither its note on licences nor the files ask for more; its Essen
songs are for non-commercial use and so are not read here. The files are only read where pip put
them: no tune and no title comes into this project. The command is given MIDI keys and lengths
alone, and names at least 99 % of all notes as printed, and 95 % of those foreign to the printed key.

Second, the key of each of these tunes: the same as music21's Krumhansl-Kessler analysis finds.

Third, chord tones: the names in music21's reading of chord symbols on 15 roots, but for those with
two accidentals, which are written plainly here.

Fourth, transposition: beginnings of tunes in all signatures by the interval of each instrument, as
music21 transposes the same names, and the signature with it.
"""

import json
import warnings
from pathlib import Path

import music21
from music21 import converter, interval, note, pitch, stream
from music21.analysis.discrete import KrumhanslKessler
from music21.harmony import ChordSymbol

from common import SCRATCH, Differs, end, equal, xtask

CORPUS = Path(music21.__file__).parent / "corpus"
ALL_NOTES, FOREIGN_NOTES = 0.99, 0.95

# Steps, semitones, and music21's name.
INSTRUMENTS = {
    "B flat": (1, 2, "M2"), "low B flat": (8, 14, "M9"), "E flat": (5, 9, "M6"),
    "low E flat": (12, 21, "M13"), "F": (4, 7, "P5"), "octave up": (7, 12, "P8"),
    "octave down": (-7, -12, "P-8"),
}
# The interval that reads in the key of the same sound with fewer accidentals: a step more or less.
FEWER = {"M2": "d3", "M9": "d10", "M6": "d7", "M13": "d14", "P5": "d6"}

ROOTS = ["C", "Db", "C#", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "G#", "A", "Bb", "B"]
BODIES = " m 7 m7 maj7 mM7 6 m6 dim o7 ø7 + +7 +M7 sus4 sus2 7sus4 9 m9 M9 11 m11 m7b5 7b9 7#9 7#11"
BODIES += " 7b5 7#5 7b9b13 maj7#11 add9"


def ours(lines: list[dict], name: str) -> list[dict]:
    path = SCRATCH / name
    path.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
    return [json.loads(line) for line in xtask("spell", path).splitlines()]


def in_music21(name: str) -> str:
    return name.replace("♯", "#").replace("♭", "-")


def tunes() -> list[stream.Stream]:
    ryan = sorted((CORPUS / "ryansMammoth").glob("*.abc"))[::10]
    oneill = sorted((CORPUS / "oneills1850").glob("*.abc"))[:2]
    found = []
    for path in [*oneill, *ryan]:
        read = converter.parse(path, forceSource=True)
        for score in read.scores if isinstance(read, stream.Opus) else [read]:
            line = stream.Stream(score.parts[0].flatten().getElementsByClass("KeySignature"))
            for element in score.parts[0].stripTies().flatten().notes:
                if isinstance(element, note.Note):
                    line.append(element)
            if line.notes:
                found.append(line)
    return found


def printed(tune: stream.Stream) -> list[str]:
    return [element.pitch.nameWithOctave for element in tune.notes]


def keys(tune: stream.Stream) -> dict:
    played = list(tune.notes)
    lengths = [float(element.quarterLength) for element in played]
    return {"keys": [element.pitch.midi for element in played], "durations": lengths}


def names(found: list[stream.Stream], read: list[dict]) -> str:
    right = total = right_foreign = foreign = 0
    for tune, got in zip(found, read, strict=True):
        signature = tune.getElementsByClass("KeySignature").first()
        scale = {p.name for p in signature.getScale("major").pitches} if signature else set()
        for name, mine in zip(printed(tune), got["notes"], strict=True):
            same = in_music21(mine) == name
            total, right = total + 1, right + same
            if pitch.Pitch(name).name not in scale:
                foreign, right_foreign = foreign + 1, right_foreign + same
    summary = (
        f"{right:,} of {total:,} notes of {len(found)} tunes named as printed "
        f"({right / total:.2%}), {right_foreign} of {foreign} foreign to the key"
    )
    if total < 10_000 or foreign < 100 or right < ALL_NOTES * total:
        raise Differs(summary)
    if right_foreign < FOREIGN_NOTES * foreign:
        raise Differs(summary)
    return summary


def found_keys(found: list[stream.Stream], read: list[dict]) -> str:
    for number, (tune, got) in enumerate(zip(found, read, strict=True)):
        theirs = KrumhanslKessler(tune).getSolution(tune)
        tonic = pitch.Pitch(in_music21(got["tonic"])).pitchClass
        equal((tonic, got["mode"]), (theirs.tonic.pitchClass, theirs.mode), f"key of tune {number}")
    return f"{len(found)} keys"


def chord_tones() -> str:
    lines, expected = [], []
    for root in ROOTS:
        for body in BODIES.split(" "):
            theirs = [p for p in ChordSymbol(root.replace("b", "-") + body).pitches]
            theirs = [p for p in theirs if abs(p.alter) < 2]
            symbols = [root + body] * len(theirs)
            lines.append({"keys": [p.midi for p in theirs], "chords": symbols})
            expected.append([p.name for p in theirs])
    count = 0
    for line, got, names in zip(lines, ours(lines, "chords.jsonl"), expected, strict=True):
        mine = [pitch.Pitch(in_music21(name)).name for name in got["notes"]]
        equal(mine, names, f"tones of {line['chords'][0]}")
        count += len(names)
    return f"{count:,} tones of {len(lines)} chord symbols"


def transposed(found: list[stream.Stream]) -> str:
    count = 0
    for what, (steps, semitones, name) in INSTRUMENTS.items():
        lines = []
        for number, tune in enumerate(found[:60]):
            # Through all signatures, from seven flats to seven sharps.
            lines.append({"keys": keys(tune)["keys"][:20], "fifths": number % 15 - 7})
        concert = ours(lines, "concert.jsonl")
        read = ours([line | {"transpose": [steps, semitones]} for line in lines], "read.jsonl")
        for line, before, after in zip(lines, concert, read, strict=True):
            by = interval.Interval(name)
            signature = music21.key.KeySignature(line["fifths"])
            written = signature.transpose(by).sharps
            if abs(written) > 6 and name in FEWER:
                # Too many sharps; too many flats cannot be, for these instruments only add sharps.
                by = interval.Interval(FEWER[name])
                written -= 12
            equal(after["fifths"], written, f"{what}: signature from {line['fifths']}")
            for old, new in zip(before["notes"], after["notes"], strict=True):
                theirs = pitch.Pitch(in_music21(old)).transpose(by)
                # Three accidentals are written as another letter's two at most.
                if abs(theirs.alter) <= 2:
                    equal(in_music21(new), theirs.nameWithOctave, f"{what}: {old} up {by.name}")
                    count += 1
    return f"{count:,} notes for {len(INSTRUMENTS)} instruments"


def check() -> str:
    warnings.simplefilter("ignore")
    found = tunes()
    read = ours([keys(tune) for tune in found], "tunes.jsonl")
    version = music21.__version__
    return (
        f"{names(found, read)}; {found_keys(found, read)}, {chord_tones()} and "
        f"{transposed(found)} as in music21 {version}"
    )


end("spelling", check)
