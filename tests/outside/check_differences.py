"""Differences between takes against statsmodels and scipy.

Compares `compare --json` on invented pairs of files with
- `statsmodels.stats.proportion.confint_proportions_2indep`, method `newcomb`, for shares, within
  1e-9 (Newcombe 1998, method 10);
- `scipy.stats.permutation_test` over all arrangements of the means for lengths, within 1e-9, on
  pairs of at most eight phrases each; and the ends of the interval, where the p of lengths shifted
  a little within must be over 0.05 and shifted a little beyond not.
"""

import json
import random

import numpy
import scipy
import statsmodels
from scipy.stats import permutation_test
from statsmodels.stats.proportion import confint_proportions_2indep

from common import SCRATCH, end, equal, near, overbar
from invent import File

QUARTER = 480
SHARES = ("off_beat_entries", "beat_one_entries", "off_beat_exits", "over_the_bar")


def invent(name: str, rng: random.Random, count: int, longest: int):
    """Phrases of sixteenths, eight bars of 4/4 apart. Returns the file and the lengths in bars."""
    file = File(0, QUARTER)
    step = QUARTER // 4
    lengths = []
    for index in range(count):
        start = round((32 * index + rng.choice([0.0, 0.5, 1.0, 2.5])) * QUARTER)
        notes = rng.randint(3, longest)
        ticks = [start + step * note for note in range(notes)]
        file.burst(ticks, start + step * notes, 40)
        lengths.append(notes / 16)
    file.write(SCRATCH / name)
    return SCRATCH / name, lengths


def p_of(first, second) -> float:
    def difference(x, y, axis):
        return numpy.mean(x, axis=axis) - numpy.mean(y, axis=axis)

    test = permutation_test((first, second), difference, n_resamples=numpy.inf, vectorized=True)
    return test.pvalue


def check() -> str:
    rng = random.Random(4)
    shares = lengths = 0
    for index in range(24):
        counts = rng.randint(4, 8), rng.randint(4, 8)
        first, a = invent(f"{index:02}-a.mid", rng, counts[0], 24)
        second, b = invent(f"{index:02}-b.mid", rng, counts[1], 32)
        made = json.loads(overbar("compare", first, second, "--json"))
        for difference in made["differences"]:
            gap, of = difference["gap"], difference["of"]
            if of in SHARES:
                one, other = (take["figures"][of] for take in made["takes"])
                low, high = confint_proportions_2indep(
                    one["count"], one["of"], other["count"], other["of"],
                    method="newcomb", compare="diff",
                )
                near(gap["low"], low, 1e-9, f"pair {index}, {of}: low")
                near(gap["high"], high, 1e-9, f"pair {index}, {of}: high")
                shares += 1
                continue
            equal(gap["exact"], True, f"pair {index}: exact")
            near(gap["difference"], numpy.mean(a) - numpy.mean(b), 1e-9, f"pair {index}: means")
            near(gap["p"], p_of(a, b), 1e-9, f"pair {index}: p")
            lengths += 1
            if gap["interval"] is not None and index < 6:
                low, high = gap["interval"]
                for shift, kept in ((low - 0.01, False), (low + 0.01, True),
                                    (high - 0.01, True), (high + 0.01, False)):
                    inside = p_of(numpy.array(a) - shift, b) > 0.05
                    equal(inside, kept, f"pair {index}: a shift of {shift}")
    return (
        f"{shares} differences of shares agree with statsmodels {statsmodels.__version__}, "
        f"{lengths} of lengths with scipy {scipy.__version__}"
    )


end("differences", check)
