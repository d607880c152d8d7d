"""Shares and their intervals against scipy.

Compares count, share and both ends of the 95 % interval of `off_beat_entries` and
`beat_one_entries`, as real reviews of invented files give them, with
`scipy.stats.binomtest(k, n).proportion_ci(0.95, "wilson")`, within 1e-9. Each file has n phrases
of which k come in on an "and", j on beat one and the rest on beat three. Source: Wilson 1927, as
scipy computes it.
"""

import random

import scipy
from scipy.stats import binomtest

from common import SCRATCH, end, equal, near, reviews
from invent import File

COUNTS = [1, 2, 3, 5, 7, 8, 12, 16, 20, 29, 40, 64, 148]
QUARTER = 480


def invent(name: str, places: list[float]) -> None:
    """Phrases of three sixteenths that come in at these quarters of every second bar of 4/4."""
    file = File(0, QUARTER)
    for index, place in enumerate(places):
        start = round((8 * index + place) * QUARTER)
        step = QUARTER // 4
        file.burst([start, start + step, start + 2 * step], start + 3 * step, 60 + index % 12)
    file.write(SCRATCH / name)


def compare(share: dict, count: int, of: int, what: str) -> None:
    equal((share["count"], share["of"]), (count, of), what)
    near(share["share"], count / of, 1e-12, f"{what}: share")
    interval = binomtest(count, of).proportion_ci(0.95, method="wilson")
    near(share["low"], interval.low, 1e-9, f"{what}: low")
    near(share["high"], interval.high, 1e-9, f"{what}: high")


def check() -> str:
    rng = random.Random(1)
    cases = {}
    for of in COUNTS:
        for off in sorted({0, 1, of // 4, of // 3, of // 2, of - 1, of}):
            ones = rng.randint(0, of - off)
            places = [rng.choice([0.5, 1.5, 2.5, 3.5]) for _ in range(off)]
            places += [0.0] * ones + [2.0] * (of - off - ones)
            rng.shuffle(places)
            name = f"{off:03}-of-{of:03}.mid"
            cases[name] = (off, ones, of)
            invent(name, places)
    reviewed = reviews(SCRATCH)
    for name, (off, ones, of) in cases.items():
        figures = reviewed[name]["figures"]
        equal(figures["phrases"], of, f"{name}: phrases")
        compare(figures["off_beat_entries"], off, of, f"{name}: off the beat")
        compare(figures["beat_one_entries"], ones, of, f"{name}: on beat one")
    return f"{2 * len(cases)} shares in {len(cases)} files agree with scipy {scipy.__version__}"


end("shares", check)
