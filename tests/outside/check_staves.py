"""The staff of a report beside the same phrases as verovio draws them.

Thirteen invented phrases become reports and MusicXML. What stands on the staff of each report must be what
verovio draws of the MusicXML, from left to right: heads and accidentals with their height in steps from the
middle line, grace notes, rests, multi-rests, dots, the notes under each beam with their number of beams, ties and
the numbers of tuplets. Stems point the same way at .95 of the notes or more: common practice leaves some of them open.

`beside.html` in the check's folder shows each phrase twice; the manual's picture is taken from it.
"""

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass, field
from pathlib import Path

import mido
import verovio

from common import SCRATCH, Differs, end, equal, overbar

QUARTER = 480
ALIKE = 0.95
# A staff space in the page of pictures.
PIXELS = 5
# SMuFL 1.4, by code point.
HEADS = {0xE0A0, 0xE0A2, 0xE0A3, 0xE0A4}
ACCIDENTALS = range(0xE260, 0xE265)
RESTS = range(0xE4E2, 0xE4EC)
TUPLETS = range(0xE880, 0xE88A)
# Of a metre on the staff, and over it of a number of bars of rest, which is text of this size in ours.
DIGITS = range(0xE080, 0xE08A)
NUMBER = "2.2"
DOT, STACCATO = 0xE1E7, {0xE4A2, 0xE4A3}

# Metre, key, and the line: keys with their lengths in quarter notes, 0 for a rest.
T = 1 / 3
PHRASES = {
    "eighths": ((4, 4), "C", [(0, .5), *[(k, .5) for k in (62, 65, 69, 72, 71, 67, 64, 61, 62, 64, 65, 68, 69)], (74, 1)]),
    "triplets": ((4, 4), "F", [(65, 1), (69, T), (72, T), (76, T), (75, .5), (74, .5), (72, T), (70, T), (69, T), (67, 2)]),
    "sixteenths": ((4, 4), "G", [*[(k, .25) for k in (67, 69, 71, 72, 74, 72, 71, 69)], (67, .5), (66, .25), (64, .25), (62, 1)]),
    "over the bar": ((4, 4), "C", [(0, 2.5), (76, .5), (74, .5), (72, 1.5), (69, .5), (67, .5), (0, .5), (64, 1.5)]),
    "a waltz": ((3, 4), "D", [(74, 1), (73, .5), (71, .5), (69, 1), (66, .5), (67, .5), (68, .5), (69, 1.5), (62, 3)]),
    "six eighths": ((6, 8), "Bb", [(65, .5), (67, .5), (69, .5), (70, 1), (72, .5), (74, .5), (72, .5), (70, .5), (65, 1.5)]),
    "low": ((4, 4), "Eb", [(48, .5), (51, .5), (55, .5), (58, .5), (56, .5), (55, .5), (53, .5), (50, .5), (41, 1), (39, 2)]),
    "high": ((4, 4), "A", [(81, .5), (84, .5), (86, .5), (88, .5), (87, .5), (85, .5), (83, .5), (81, .5), (93, 2)]),
    "flats": ((4, 4), "Db", [(61, .5), (65, .5), (68, .5), (72, .5), (71, .5), (69, .5), (66, .5), (63, .5), (60, 1), (62, .5), (61, 1.5)]),
    # Eighths at 2 : 1, which are written even.
    "swing": ((4, 4), "C", [*[(k, (2 * T, T)[i % 2]) for i, k in enumerate((60, 62, 64, 65, 67, 69, 71, 72, 74, 72, 71, 69, 67, 65, 64, 62))], (60, 2)]),
    "grace notes": ((4, 4), "F", [(65, 1), (68, .04), (69, .96), (72, .5), (73, .03), (74, .47), (72, 1), (70, .5), (69, .5), (67, .5), (64, .5), (65, 2)]),
    "bars of rest": ((4, 4), "C", [(60, .5), (62, .5), (64, .5), (65, .5), (67, 2), (0, 12), (67, .5), (65, .5), (64, .5), (62, .5), (60, 2)]),
    "long notes": ((4, 4), "C", [(60, 2), (64, 1.5), (65, .5), (69, 4), (0, 2), (67, 1.75), (66, .25), (60, 4)]),
}


@dataclass
class Drawn:
    """A phrase as it is drawn, in staff spaces, y upwards from the middle line."""

    # Everything that stands by itself, with its x.
    signs: list[tuple[float, tuple]] = field(default_factory=list)
    heads: list[tuple[float, float]] = field(default_factory=list)
    stems: list[tuple[float, float, float]] = field(default_factory=list)
    # Left and right end of each beam.
    beams: list[tuple[tuple[float, float], tuple[float, float]]] = field(default_factory=list)
    ties: int = 0

    def glyph(self, code: int, x: float, y: float) -> None:
        steps = round(y * 2)
        if code in HEADS:
            self.heads.append((x, y))
            self.signs.append((x, ("head", code, steps)))
        elif code in ACCIDENTALS:
            self.signs.append((x, ("accidental", code, steps)))
        elif code in RESTS:
            self.signs.append((x, ("rest", code)))
        elif code in TUPLETS:
            self.signs.append((x, ("tuplet", code)))
        elif code in DIGITS and y > 2:
            self.signs.append((x, ("multi-rest", code - DIGITS.start)))
        elif code in STACCATO:
            self.signs.append((x, ("short",)))

    def by_kind(self) -> dict:
        """What has to be the same. Tuplets and dots of articulation stand over what is beside them, so that
        only their order counts."""
        signs = [sign for _, sign in sorted(self.signs, key=lambda found: found[0])]
        aside = ("tuplet", "short", "dot")
        return {
            "heads, accidentals, rests": [sign for sign in signs if sign[0] not in aside],
            **{name: [sign for sign in signs if sign[0] == name] for name in aside},
            "beams": self.beamed(),
            "ties": self.ties,
        }

    def stem_of(self, head: tuple[float, float]) -> tuple[float, float, float] | None:
        x, y = head
        near = [stem for stem in self.stems if -0.2 < stem[0] - x < 1.6 and abs(stem[1] - y) < 0.3]
        return min(near, key=lambda stem: abs(stem[0] - x - 0.6), default=None)

    def directions(self) -> list[bool | None]:
        """Whether the stem of each note goes up; None without one."""
        stems = [self.stem_of(head) for head in sorted(self.heads)]
        return [None if stem is None else stem[2] > stem[1] for stem in stems]

    def beamed(self) -> list[int]:
        """The number of beams at each note's stem."""
        counts = []
        for head in sorted(self.heads):
            stem = self.stem_of(head)
            heights: list[float] = []
            for (left, left_y), (right, right_y) in self.beams if stem else []:
                if left - 0.15 <= stem[0] <= right + 0.15:
                    y = left_y + (right_y - left_y) * (stem[0] - left) / (right - left)
                    # One beam may be drawn in parts that meet at a stem.
                    if all(abs(y - other) > 0.4 for other in heights):
                        heights.append(y)
            counts.append(len(heights))
        return counts


def numbers(text: str) -> list[float]:
    return [float(number) for number in re.findall(r"-?[\d.]+", text)]


def systems(page: Path) -> list[str]:
    return re.findall(r'<svg [^>]*aria-labelledby="staff\d+t.*?</svg>', page.read_text(), re.DOTALL)


def ours(page: Path, sharps: int) -> Drawn:
    """What stands on the staff of a report that has one line, whose key has so many sharps or flats."""
    [system] = systems(page)
    drawn = Drawn()
    for element in ElementTree.fromstring(system).iter():
        if element.tag == "use":
            # Grace notes are smaller: their place is in their transform.
            x, y = numbers(element.get("transform", ""))[:2] or (float(element.get(at)) for at in "xy")
            code = int(element.get("href")[2:], 16)
            if code in ACCIDENTALS and sharps > 0:
                # The key comes first.
                sharps -= 1
            elif code == DOT:
                drawn.signs.append((x, ("dot",)))
            else:
                drawn.glyph(code, x, 2 - y)
        elif element.tag == "text" and element.get("font-size") == NUMBER:
            drawn.signs.append((float(element.get("x")), ("multi-rest", int(element.text))))
        elif element.tag == "path" and element.get("class") == "line" and element.get("stroke-width") == "0.12":
            for x, y, end_y in re.findall(r"M([-\d.]+) ([-\d.]+)V([-\d.]+)", element.get("d")):
                drawn.stems.append((float(x), 2 - float(y), 2 - float(end_y)))
        elif element.tag == "path" and element.get("class") == "mark":
            for part in element.get("d").split("Z")[:-1]:
                if "C" in part:
                    drawn.ties += 1
                else:
                    x, a, right, b, c, _, d = numbers(part)
                    drawn.beams.append(((x, 2 - (a + d) / 2), (right, 2 - (b + c) / 2)))
    return drawn


class Theirs(Drawn):
    """What verovio draws: groups with a class for each thing, in a tenth of its units."""

    def __init__(self, svg: str):
        super().__init__()
        self.middle, self.space = 0.0, 180.0
        for measure in self.all(ElementTree.fromstring(svg), "measure"):
            self.measure(measure)

    @staticmethod
    def all(element, name: str):
        return [group for group in element.iter() if name in (group.get("class") or "").split()]

    def place(self, x: float, y: float) -> tuple[float, float]:
        return x / self.space, (self.middle - y) / self.space

    def measure(self, measure) -> None:
        lines = [numbers(path.get("d")) for path in self.all(measure, "staff")[0] if path.tag.endswith("path")]
        self.middle, self.space = lines[2][1], lines[1][1] - lines[0][1]
        keys = [use for key in self.all(measure, "keySig") + self.all(measure, "meterSig") for use in key.iter()]
        for element in measure.iter():
            if element.tag.endswith("}use") and element not in keys:
                code = int(element.get("{http://www.w3.org/1999/xlink}href")[1:5], 16)
                self.glyph(code, *self.place(*numbers(element.get("transform"))[:2]))
        for stem in self.all(measure, "stem"):
            for path in (path for path in stem if path.tag.endswith("path")):
                x, y, _, end_y = numbers(path.get("d"))
                self.stems.append((*self.place(x, y), self.place(x, end_y)[1]))
        for beam in self.all(measure, "beam"):
            for polygon in (part for part in beam.iter() if part.tag.endswith("polygon")):
                x, a, right, b, _, c, _, d = numbers(polygon.get("points"))
                self.beams.append((self.place(x, (a + d) / 2), self.place(right, (b + c) / 2)))
        for dots in self.all(measure, "dots"):
            self.signs += [(float(dot.get("cx")) / self.space, ("dot",)) for dot in dots]
        self.ties += len(self.all(measure, "tie"))


def write(path: Path, metre: tuple[int, int], line: list[tuple[int, float]]) -> None:
    track = mido.MidiTrack([
        mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(120)),
        mido.MetaMessage("time_signature", numerator=metre[0], denominator=metre[1]),
    ])
    at, waited = 0.0, 0
    for key, length in line:
        on, off = round(at * QUARTER), round((at + length * 0.95) * QUARTER)
        if key:
            track.append(mido.Message("note_on", note=key, velocity=80, time=on - waited))
            track.append(mido.Message("note_off", note=key, time=off - on))
            waited = off
        at += length
    file = mido.MidiFile(ticks_per_beat=QUARTER)
    file.tracks.append(track)
    file.save(path)


def engraved(path: Path) -> str:
    toolkit = verovio.toolkit()
    toolkit.setOptions({
        "breaks": "none", "adjustPageWidth": True, "adjustPageHeight": True, "header": "none", "footer": "none",
        "svgViewBox": True, "multiRestStyle": "block", "pageMarginTop": 0, "pageMarginBottom": 0,
    })
    if not toolkit.loadFile(str(path)):
        raise Differs(f"{path.name}: verovio does not read it")
    return toolkit.renderToSVG(1)


def compared(name: str, expected: Drawn, found: Drawn) -> list[bool]:
    """Holds a phrase to verovio's; returns for each stem whether it points the same way."""
    theirs = expected.by_kind()
    for what, drawn in found.by_kind().items():
        equal(drawn, theirs[what], f"{name}, {what}")
    pairs = list(zip(expected.directions(), found.directions(), strict=True))
    equal([ours is None for _, ours in pairs], [their is None for their, _ in pairs], f"{name}, stems")
    return [ours == their for their, ours in pairs if their is not None]


def check() -> str:
    alike: list[bool] = []
    counts: dict[str, int] = {}
    shown: list[tuple[str, str, Path]] = []
    for name, (metre, key, line) in PHRASES.items():
        stem = name.replace(" ", "-")
        midi, page, score = (SCRATCH / f"{stem}.{ending}" for ending in ("mid", "html", "musicxml"))
        write(midi, metre, line)
        overbar("review", midi, "--report", page, "--key", key)
        overbar("export", midi, "--musicxml", score, "--key", key)
        fifths = int(re.search(r"<fifths>(-?\d+)", score.read_text())[1])
        svg = engraved(score)
        found = ours(page, abs(fifths))
        alike += compared(name, Theirs(svg), found)
        signs = found.by_kind()
        for what in ("accidental", "rest", "multi-rest"):
            counts[what] = counts.get(what, 0) + sum(sign[0] == what for sign in signs["heads, accidentals, rests"])
        for what, number in (("tie", found.ties), ("tuplet", len(signs["tuplet"])), ("beam", len(found.beams))):
            counts[what] = counts.get(what, 0) + number
        shown.append((systems(page)[0], svg, page))
    for what, number in counts.items():
        if number == 0:
            raise Differs(f"the phrases have no {what}")
    beside(shown)
    share = sum(alike) / len(alike)
    if share < ALIKE:
        raise Differs(f"{share:.3f} of stems point as verovio's do, not {ALIKE}")
    summary = ", ".join(f"{number} {what}s" for what, number in counts.items())
    return f"{len(PHRASES)} phrases as verovio draws them: {summary}; {share:.3f} of {len(alike)} stems point its way"


def sized(svg: str, width: float) -> str:
    """A picture so many staff spaces wide."""
    return svg.replace("<svg ", f'<svg style="width:{width * PIXELS:.0f}px;min-width:0;margin:0" ', 1)


def cut(system: str) -> str:
    """One of ours, cut to the length of its staff."""
    left, top, _, height = numbers(re.search(r'viewBox="([^"]*)"', system)[1])
    width = max(float(end) for end in re.findall(r"H([\d.]+)", system)) - left + 1
    return sized(re.sub(r'viewBox="[^"]*"', f'viewBox="{left} {top} {width} {height}"', system), width)


def beside(shown: list[tuple[str, str, Path]]) -> None:
    """A page of the phrases, ours at the left."""
    page = shown[0][2].read_text()
    style = re.search(r"<style>.*?</style>", page, re.DOTALL)[0]
    glyphs = {glyph for *_, path in shown for glyph in re.findall(r'<path id="g\w+" d="[^"]*"></path>', path.read_text())}
    # 18 of verovio's units are a staff space.
    width = lambda svg: float(re.search(r'viewBox="0 0 ([\d.]+)', svg)[1]) / 18
    rows = "".join(f"<tr><td class=staff>{cut(ours)}<td>{sized(theirs, width(theirs))}" for ours, theirs, _ in shown)
    own = "body{max-width:none;width:min-content;margin:8px;padding:0;background:#fff}td{border:0;padding:4px 16px;vertical-align:middle}"
    (SCRATCH / "beside.html").write_text(
        f'<!DOCTYPE html><meta charset="utf-8">{style}<style>{own}</style>'
        f'<svg style="position:absolute;width:0;height:0"><defs>{"".join(sorted(glyphs))}</defs></svg>'
        f"<table>{rows}</table>"
    )


end("staves", check)
