"""Takes on a staff, read by music21, held to the schema of MusicXML and drawn by verovio.

Exports invented and labelled solos with `overbar export --only musicxml` and checks that
- music21 finds every bar full, and at each note the pitch that was played;
- lines played exactly come back: the share of bars whose notes all start where they were written;
- on the labelled solos in 4/4 notes start where the database has them (Weimar Jazz Database, Pfleiderer
  and others 2017), in .95 of them or more: in the same beat, and on it, on its "and" or elsewhere. Its
  positions are an algorithm's, which writes swung eighths as triplets and has fives and sevens;
- a multi-rest stands over so many bars of rest and no fewer than two, and over all that could be in it;
- files hold to the schema of MusicXML 3.1 that partitura brings. That of 4.0 is in no package: `swing`, new
  in 4.0, is taken out first;
- verovio draws them without a warning.

Ties, dots and notes in tuplets per 100 notes are reported beside those of music21's own quantizer on the same
files, each at its agreement with the database.
"""

import json
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from collections import Counter
from difflib import SequenceMatcher
from pathlib import Path

import music21
import partitura
import xmlschema

from common import SCRATCH, SOLOS, Differs, end, equal, notes_of, overbar, skipped_part, xtask

DIVISIONS = 192
# Labelled solos that music21 quantizes too, which takes it a second each.
QUANTIZED = 12
METRES = ["4/4", "3/4", "6/8", "5/4", "7/8", "2/2"]


def exported(solos: Path, name: str, *options) -> dict[str, Path]:
    folder = SCRATCH / name
    overbar("export", solos, "--out", folder, "--only", "musicxml", *options)
    return {path.stem: path for path in sorted(folder.glob("*.musicxml"))}


class Written:
    """The notes of a file: key, bar and ticks from the bar line of each; graces have no length."""

    def __init__(self, path: Path):
        self.notes: list[tuple[int, int, int, bool]] = []
        self.ties = self.dots = self.tuplets = 0
        for measure in ElementTree.parse(path).getroot().iter("measure"):
            number, at = int(measure.get("number")), 0
            for note in measure.iter("note"):
                length = int(note.findtext("duration", "0"))
                if note.find("pitch") is not None:
                    self.add(note, number, at, length)
                at += length

    def add(self, note, number: int, at: int, length: int) -> None:
        pitch = note.find("pitch")
        step = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[pitch.findtext("step")]
        key = step + int(pitch.findtext("alter", "0")) + 12 * (int(pitch.findtext("octave")) + 1)
        self.dots += note.find("dot") is not None
        self.tuplets += note.find("time-modification") is not None
        if any(tie.get("type") == "stop" for tie in note.iter("tie")):
            self.ties += 1
        else:
            self.notes.append((key, number, at, note.find("grace") is not None))

    def per_100(self) -> str:
        share = 100 / max(len(self.notes), 1)
        return f"ties {self.ties * share:.1f}, dots {self.dots * share:.1f}, tuplets {self.tuplets * share:.1f}"


def aligned(keys: list[int], written: Written):
    """Pairs of the index of a played note and its written one."""
    names = [note[0] for note in written.notes]
    blocks = SequenceMatcher(None, keys, names, autojunk=False).get_matching_blocks()
    for block in blocks:
        for step in range(block.size):
            yield block.a + step, written.notes[block.b + step]


def places(label: dict, path: Path, written: Written) -> list[tuple[int, int, int | None]]:
    """Of each played note the bar that the label names, and in ticks from bar 0 where that has it and where
    it is written; None where it is left out or a grace note. A label may count bars from elsewhere: where
    most notes agree, is the same."""
    keys = [note.key for note in notes_of(path)]
    named = label["notes"]
    upper, lower = (int(part) for part in label["metre"].split("/"))
    bar_length = DIVISIONS * 4 // lower * upper
    pulse = DIVISIONS * 4 // lower * (3 if upper > 3 and upper % 3 == 0 else 1)
    met = dict(aligned(keys, written))
    found = []
    for index in range(len(keys)):
        within = pulse * (named["beat"][index] - 1 + (named["tatum"][index] - 1) / named["division"][index])
        note = met.get(index)
        stands = note is not None and not note[3]
        at = note[1] * bar_length + note[2] if stands else None
        found.append((named["bar"][index], round(named["bar"][index] * bar_length + within), at))
    apart = Counter(at - expected for _, expected, at in found if at is not None)
    usual = apart.most_common(1)[0][0]
    return [(bar, expected, None if at is None else at - usual) for bar, expected, at in found]


def kind(at: int) -> tuple[int, str]:
    """The beat of a place in 4/4, and whether it is on it, its "and" (a third late where it swings), or
    elsewhere: the classes in which places are compared."""
    beat, within = divmod(at, DIVISIONS)
    names = {0: "on", DIVISIONS // 2: "and", DIVISIONS * 2 // 3: "and"}
    return beat, names.get(within, "other")


def labels_of(folder: Path) -> list[dict]:
    return [json.loads(line) for line in (folder / "labels.jsonl").read_text().splitlines()]


def read_by_music21(path: Path, midi: Path) -> None:
    part = music21.converter.parse(path).parts[0]
    signature = None
    for measure in part.getElementsByClass("Measure"):
        signature = measure.timeSignature or signature
        full = signature.barDuration.quarterLength
        if abs(measure.duration.quarterLength - full) > 1e-6:
            raise Differs(f"{path.name}, bar {measure.number}: {measure.duration.quarterLength}, not {full}")
    notes = [note for note in part.flatten().getElementsByClass("Note")]
    notes = [note for note in notes if note.tie is None or note.tie.type == "start"]
    equal([note.pitch.midi for note in notes], [note.key for note in notes_of(midi)], f"{path.name}: pitches")


def multi_rests(path: Path) -> int:
    """How many multi-rests a file has. Each is over bars of rest; where bars of rest follow each other without
    one, something stands over the second, or its metre or number is another."""
    measures = list(ElementTree.parse(path).getroot().iter("measure"))
    is_rest = [all(note.find("rest") is not None for note in measure.iter("note")) for measure in measures]
    covered, count = 0, 0
    for index, measure in enumerate(measures):
        number = measure.findtext("attributes/measure-style/multiple-rest")
        if number is not None:
            count, covered = count + 1, index + int(number)
            if int(number) < 2 or not all(is_rest[index:covered]):
                raise Differs(f"{path.name}, bar {measure.get('number')}: a multi-rest over {number} bars")
        elif covered <= index and index > 0 and is_rest[index] and is_rest[index - 1]:
            has_directions = any(measure.find(what) is not None for what in ("direction", "harmony", "attributes"))
            cut = any(measures[at].get("implicit") == "yes" for at in (index - 1, index))
            # A chord later in the bar before keeps it apart.
            before = measures[index - 1].find("harmony") is not None
            if not (has_directions or cut or before):
                raise Differs(f"{path.name}, bar {measure.get('number')}: a bar of rest outside the multi-rest")
    return count


def schema() -> xmlschema.XMLSchema10:
    text = (Path(partitura.__file__).parent / "assets/musicxml.xsd").read_text()
    own = Path(xmlschema.__file__).parent / "schemas"
    # The two schemas that it takes from the web are in xmlschema, too.
    names = {"xlink": own / "XLINK/xlink.xsd", "xml": own / "XML/xml.xsd"}
    for name, path in names.items():
        text = text.replace(f"http://www.musicxml.org/xsd/{name}.xsd", path.as_uri())
    return xmlschema.XMLSchema10(text, allow="local")


def without_swing(path: Path) -> ElementTree.Element:
    root = ElementTree.parse(path).getroot()
    for sound in root.iter("sound"):
        for swing in sound.findall("swing"):
            sound.remove(swing)
    return root


def drawn(path: Path) -> None:
    # It warns on the standard error stream, past Python's.
    draw = "import sys, verovio; t = verovio.toolkit(); print(t.loadFile(sys.argv[1]), len(t.renderToSVG(1)))"
    done = subprocess.run([sys.executable, "-c", draw, path], capture_output=True, text=True, check=False)
    if not done.stdout.startswith("True") or done.stderr.strip():
        raise Differs(f"{path.name}: verovio: {done.stderr.strip() or 'draws nothing'}")


def share(found: list[bool]) -> float:
    return sum(found) / max(len(found), 1)


def exact_lines() -> str:
    shares = {}
    for name, tempo, least in (("below 200", "60-199", 0.97), ("above", "200-280", 0.90)):
        folder = SCRATCH / f"exact {name}"
        xtask("perform", folder, "--solos", 24, "--bars", 32, "--seed", 71, "--timing", "exact", "--tempo", tempo,
              "--metre", "4/4", "--glitches", 0)
        files = exported(folder / "midi", f"exact {name} written")
        bars = []
        for label in labels_of(folder):
            stem = Path(label["file"]).stem
            bars_of: dict[int, list[bool]] = {}
            for bar, expected, at in places(label, folder / label["file"], Written(files[stem])):
                bars_of.setdefault(bar, []).append(expected == at)
            bars += [all(bar) for bar in bars_of.values()]
        shares[name] = share(bars)
        if shares[name] < least:
            raise Differs(f"exact lines {name}: {shares[name]:.3f} of bars as written, not {least}")
    return ", ".join(f"{value:.3f} {name}" for name, value in shares.items())


def every_metre(holds: xmlschema.XMLSchema10) -> int:
    folder = SCRATCH / "metres"
    xtask("perform", folder, "--solos", 12, "--bars", 16, "--seed", 72, "--metre", ",".join(METRES), "--glitches", 0)
    files = exported(folder / "midi", "metres written")
    for stem, path in files.items():
        read_by_music21(path, folder / "midi" / f"{stem}.mid")
        holds.validate(without_swing(path))
        drawn(path)
    rests = sum(multi_rests(path) for path in files.values())
    if rests == 0:
        raise Differs("the invented solos have no multi-rest")
    return rests


def labelled(holds: xmlschema.XMLSchema10) -> str:
    if not SOLOS.is_dir():
        return skipped_part(f"scores: there are no labelled solos at {SOLOS}: .957 of notes in their class")
    files = exported(SOLOS / "midi", "labelled")
    alike, same, ours, theirs = [], [], [], []
    first, rests = [], 0
    for label in labels_of(SOLOS):
        if label["metre"] != "4/4":
            continue
        path, midi = files[Path(label["file"]).stem], SOLOS / label["file"]
        written = Written(path)
        rests += multi_rests(path)
        for _, expected, at in places(label, midi, written):
            alike.append(at is not None and kind(expected) == kind(at))
            same.append(expected == at)
        if len(first) < QUANTIZED:
            first.append((midi, written))
            holds.validate(without_swing(path))
            drawn(path)
    for midi, written in first:
        ours.append((written.ties, written.dots, written.tuplets, len(written.notes)))
        theirs.append(by_music21(midi))
    if share(alike) < 0.95:
        raise Differs(f"labelled solos: {share(alike):.3f} of notes where the database has them")
    return (f"{share(alike):.3f} of {len(alike)} labelled notes in their class, {share(same):.3f} on the very "
            f"place; {rests} multi-rests; ties, dots, tuplets per 100 notes: "
            f"{per_100(ours)}; by music21's quantizer: {per_100(theirs)}")


def per_100(counts: list[tuple[int, int, int, int]]) -> str:
    sums = [sum(column) for column in zip(*counts, strict=True)]
    return " ".join(f"{100 * value / sums[3]:.1f}" for value in sums[:3])


def by_music21(midi: Path) -> tuple[int, int, int, int]:
    """Ties, dots, tuplets and notes as music21 quantizes and writes a file."""
    score = music21.converter.parse(midi, quantizePost=True, quarterLengthDivisors=(4, 3), forceSource=True)
    score.makeNotation(inPlace=True)
    ties = dots = tuplets = count = 0
    for note in score.recurse().notes:
        tied = note.tie is not None and note.tie.type in ("stop", "continue")
        ties, count = ties + tied, count + (not tied)
        dots += note.duration.dots > 0
        tuplets += bool(note.duration.tuplets)
    return ties, dots, tuplets, count


def check() -> str:
    holds = schema()
    rests = every_metre(holds)
    return f"{rests} multi-rests; exact lines, bars as written: {exact_lines()}; {labelled(holds)}"


end("scores", check)
