"""Chord symbols and chord-tone counts against music21.

First, the pitch classes of chord symbols on all twelve roots. Each is read by the command as
people write it, and by `music21.harmony.ChordSymbol` as music21 writes it: flats of roots are
`-`, and stacks it has no name for are spelled out with `add`. Where music21 means another chord,
the difference is listed in DIFFERENT with its reason, and has to be there.

Second, every chord symbol of the labelled solos: at least 99.5 % are understood; the others are
named. Symbols of the solos are compared with music21 too, in its own spelling.

Third, counts: the notes of invented files on a grid of eighths, over invented chord lines, that
are tones of the chord in music21's reading, all notes and those on a beat; and the same for
third and seventh as music21 finds them.
"""

import json
import random
from collections import Counter

import music21
from music21.harmony import ChordSymbol

from common import SCRATCH, SOLOS, Differs, end, equal, overbar, skipped_part, xtask
from invent import File

ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]

# As people write them, and as music21 does. Empty: written alike.
ALIKE = "m 7 m7 maj7 M7 mM7 6 m6 dim o dim7 o7 ø7 + aug +7 aug7 +M7 sus sus4 sus2 7sus4 9 m9 M9 "
ALIKE += "11 m11 m7b5 7b9 7#9 7#11 7b5 7#5 7b9b13 7#9b13 maj7#11 add9 add2 mM9 ø9 dom7 +9"
SPELLED = {
    "": "", "maj": "maj", "-": "m", "-7": "m7", "mi7": "m7", "min7": "min7", "Δ": "maj7",
    "Δ7": "maj7", "ma7": "maj7", "j7": "maj7", "-Δ7": "mM7", "m(maj7)": "mM7", "-j7": "mM7",
    "°": "dim", "°7": "dim7", "ø": "ø7", "-7b5": "m7b5", "m7-5": "m7b5", "7+": "7+",
    "69": "6add9", "6/9": "6add9", "m69": "m6add9", "-69": "m6add9", "maj9": "M9", "Δ9": "M9",
    "7sus": "7sus4", "9sus4": "7sus4add9", "9sus": "7sus4add9", "sus7": "7sus4",
    "sus79": "7sus4add9", "13sus4": "7sus4add9add13", "sus7913": "7sus4add9add13",
    "13": "9add13", "maj13": "M9add13", "m13": "m11add13", "7913": "9add13",
    "7(b9)": "7b9", "79b": "7b9", "79#": "7#9", "7-9": "7b9", "7+11": "7#11",
    "79b13": "7b9add13", "7(b9,13)": "7b9add13", "13b9": "7b9add13", "79b13b": "7b9b13",
    "7(b9,b13)": "7b9b13", "7911#": "9add#11", "9#11": "9add#11", "13#11": "9add#11add13",
    "j7911#": "M9add#11", "maj9#11": "M9add#11", "Δ#11": "maj7add#11", "7b13": "7addb13",
    "7913b": "9addb13", "9b13": "9addb13", "+79#": "+7add#9", "+79b": "+7addb9", "7#9#5": "+7add#9",
    "7alt": "7b5addb9add#9addb13", "alt": "7b5addb9add#9addb13", "m7911": "m11", "-7911": "m11",
    "madd9": "madd9", "m(add9)": "madd9", "maj7#5": "+M7", "Δ#5": "+M7", "9b5": "7b5add9",
    "9#5": "+9", "7no3": "7omit3", "7omit5": "7omit5", "5": "power", "2": "add2",
}

# What music21 means by it in its own words, and why it is not what is meant here.
DIFFERENT = {
    "13": "the eleventh on a major third is left out here",
    "13b9": "music21 takes the name for a plain 13 and leaves the altered ninth out",
    "69": "music21 takes it for no stack and leaves third and fifth out",
    "C2": "music21 takes it for no stack and leaves third and fifth out",
}
OTHERS = {"13": "13", "13b9": "13b9", "69": "69", "C2": "2"}


def in_music21(root: str, body: str) -> set[int]:
    try:
        read = ChordSymbol(root.replace("b", "-") + body)
    except Exception as error:
        raise Differs(f"music21 does not read {root}{body}: {error}") from error
    return {pitch.pitchClass for pitch in read.pitches}


def ours(symbols: list[str], name: str) -> list[dict]:
    path = SCRATCH / name
    path.write_text("\n".join(symbols) + "\n", encoding="utf-8")
    return [json.loads(line) for line in xtask("symbols", path).splitlines()]


def symbols() -> str:
    spelled = {body: body for body in ALIKE.split()} | SPELLED
    cases = [(root, body, other) for root in ROOTS for body, other in spelled.items()]
    read = ours([root + body for root, body, _ in cases], "symbols.txt")
    for (root, body, other), got in zip(cases, read, strict=True):
        if "error" in got:
            raise Differs(f"{root}{body}: {got['error']}")
        expected = in_music21(root, other)
        equal(set(got["tones"]), expected, f"{root}{body}, in music21 {root}{other}")
    for what, body in OTHERS.items():
        symbol = what if what.startswith("C") else f"C{body}"
        got = ours([symbol], "other.txt")[0]
        if set(got["tones"]) == in_music21("C", body):
            raise Differs(f"{symbol} is no longer read otherwise by music21: {DIFFERENT[what]}")
    slashed = [f"{root}{body}/{bass}" for root in ROOTS for body in ("", "m7") for bass in ("D", "Gb")]
    for symbol, got in zip(slashed, ours(slashed, "slashes.txt"), strict=True):
        chord, bass = symbol.split("/")
        root, body = (chord[:2], chord[2:]) if chord[1:2] in ("b", "#") else (chord[:1], chord[1:])
        equal(set(got["tones"]), in_music21(root, f"{body}/{bass.replace('b', '-')}"), symbol)
    return f"{len(cases) + len(slashed)} symbols of {len(spelled)} spellings"


def solos() -> str:
    labels = SOLOS / "labels.jsonl"
    if not labels.is_file():
        return skipped_part(f"chords: there are no labelled solos at {SOLOS}: their symbols")
    solos = map(json.loads, labels.read_text(encoding="utf-8").splitlines())
    count = Counter(symbol for solo in solos for _, symbol in solo["chords"])
    spelled = {body: body for body in ALIKE.split()} | SPELLED
    wrong = []
    compared = 0
    for symbol, got in zip(count, ours(list(count), "solos.txt"), strict=True):
        if "error" in got:
            wrong.append((symbol, got["error"]))
            continue
        chord, _, bass = symbol.partition("/")
        root, body = (chord[:2], chord[2:]) if chord[1:2] in ("b", "#") else (chord[:1], chord[1:])
        if symbol != "NC" and body in spelled:
            under = f"/{bass.replace('b', '-')}" if bass else ""
            equal(set(got["tones"]), in_music21(root, spelled[body] + under), symbol)
            compared += count[symbol]
    total = sum(count.values())
    understood = total - sum(count[symbol] for symbol, _ in wrong)
    if understood < 0.995 * total:
        raise Differs(f"{understood} of {total} understood; not {wrong}")
    named = "".join(f"; not {symbol}: {error}" for symbol, error in wrong)
    return (
        f"of {total:,} symbols in solos {understood:,} understood, "
        f"{compared:,} compared{named}"
    )


def counts() -> str:
    rng = random.Random(7)
    bodies = ["7", "m7", "maj7", "m7b5", "o7", "6", "7b9", "7#11"]
    notes = 0
    for number in range(20):
        chart = [rng.choice(ROOTS) + rng.choice(bodies) for _ in range(8)]
        file = File(0, 480)
        file.tempo(0, rng.randint(100, 200))
        file.metre(0, (4, 4))
        # One unbroken line of eighths over two choruses: no entry before a change but at its start.
        line = [rng.randint(55, 80) for _ in range(2 * 8 * 8)]
        for index, key in enumerate(line):
            file.note(key, index * 240, (index + 1) * 240)
        file.write(SCRATCH / f"{number}.mid")
        (SCRATCH / f"{number}.txt").write_text("| " + " | ".join(chart) + " |\n")
        got = json.loads(
            overbar("chords", SCRATCH / f"{number}.mid", "--chart", SCRATCH / f"{number}.txt", "--json")
        )["take"]
        chords = [ChordSymbol(symbol[0] + symbol[1:2].replace("b", "-") + symbol[2:]
                              if symbol[1:2] == "b" else symbol) for symbol in chart]
        all_notes, on_beats, guides = [], [], []
        for index, key in enumerate(line):
            chord = chords[index // 8 % 8]
            third, seventh = chord.third, chord.seventh
            # A sixth stands for the seventh, which music21 names as the chord's sixth.
            if seventh is None:
                seventh = next(p for p in chord.pitches if p.name == chord.root().transpose("M6").name)
            all_notes.append(key % 12 in {p.pitchClass for p in chord.pitches})
            guides.append(key % 12 in {third.pitchClass, seventh.pitchClass})
            if index % 2 == 0:
                on_beats.append(all_notes[-1])
        for what, found, expected in [
            ("chord tones", got["notes"]["chord_tones"], all_notes),
            ("guide tones", got["notes"]["guide_tones"], guides),
            ("chord tones on a beat", got["on_beats"]["chord_tones"], on_beats),
        ]:
            equal((found["count"], found["of"]), (sum(expected), len(expected)), f"{number}: {what}")
        notes += len(line)
    return f"{notes:,} notes counted"


def check() -> str:
    version = music21.__version__
    return f"{symbols()}, {solos()}, {counts()}: as in music21 {version}"


end("chords", check)
