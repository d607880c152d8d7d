"""Quartiles of phrase lengths against numpy.

Compares quartiles, median and longest of the lengths in notes, bars and seconds with
`numpy.percentile` (its default method, Hyndman and Fan's type 7) over the lengths that mido's
reading of the same invented files gives, within 1e-6. Files have from 1 to 61 phrases. Source:
Hyndman and Fan 1996, as numpy computes it.
"""

import random

import numpy

from common import SCRATCH, Note, end, equal, near, notes_of, reviews
from invent import METRES, File

RESOLUTION = 960
STATED = ("lower", "median", "upper", "longest")


def invent(name: str, phrases: int, metre: tuple[int, int], seed: int) -> None:
    rng = random.Random(seed)
    file = File(1, RESOLUTION)
    file.metre(0, metre)
    file.tempo(0, rng.uniform(60, 240))
    tick = rng.randrange(4 * RESOLUTION)
    for _ in range(phrases):
        ticks = [tick]
        for _ in range(rng.randint(2, 25)):
            ticks.append(ticks[-1] + rng.randint(RESOLUTION // 5, RESOLUTION // 2))
        stop = ticks[-1] + rng.randint(10, RESOLUTION)
        file.burst(ticks, stop, 50)
        tick = stop + rng.randint(5 * RESOLUTION, 9 * RESOLUTION)
    file.write(SCRATCH / name)


def spans(notes: list[Note]) -> list[list[Note]]:
    """Phrases as they were invented: there is a rest of five quarters or more between them."""
    found = [[notes[0]]]
    for before, note in zip(notes, notes[1:]):
        if note.tick - before.end_tick >= 5 * RESOLUTION:
            found.append([])
        found[-1].append(note)
    return found


def check() -> str:
    files = {}
    for seed in range(66):
        metre = list(METRES)[seed % len(METRES)]
        name = f"lengths-{seed:02}.mid"
        files[name] = metre
        invent(name, 1 + seed * 12 // 13, metre, seed)
    reviewed = reviews(SCRATCH, melody="all")
    compared = 0
    for name, metre in files.items():
        phrases = spans(notes_of(SCRATCH / name))
        figures = reviewed[name]["figures"]
        equal(figures["phrases"], len(phrases), f"{name}: phrases")
        bar = METRES[metre][0] * RESOLUTION
        lengths = {
            "notes": [len(phrase) for phrase in phrases],
            "bars": [(phrase[-1].end_tick - phrase[0].tick) / bar for phrase in phrases],
            "seconds": [phrase[-1].off - phrase[0].on for phrase in phrases],
        }
        for unit, values in lengths.items():
            expected = numpy.percentile(values, [25, 50, 75, 100])
            for which, value in zip(STATED, expected, strict=True):
                got = figures["lengths"][unit][which]
                near(got, value, 1e-6, f"{name}: {which} in {unit}")
                compared += 1
    return f"{compared} quartiles in {len(files)} files agree with numpy {numpy.__version__}"


end("lengths", check)
