"""Fits how well what is heard of a band suits each place in the bar: prints core/src/grid/band/weights.rs.

    python fit_band.py FOLDERS... > core/src/grid/band/weights.rs

Each folder is what `overbar-listening --band --keep FOLDER` wrote for solos of odd number in their collection: three
bytes a hop, and the second of each beat. Hops are made frames as `evidence.rs` does it, and counted by place in
the bar and level. A weight is the logarithm of how much likelier a level is at a place than anywhere, in 32nds.
Needs numpy.
"""
import sys
from pathlib import Path

import numpy as np

PLACES, PARTS, STEPS = 24, 3, 32
LEVEL_FROM = [0.3, 0.8, 1.6, 3.0, 5.5]
LEVELS = len(LEVEL_FROM) + 1
HOP, MAX_FRAMES = 0.005, 60
# Of sound at 48 kHz, as `BandHearing::first_hop` has it.
FIRST = -0.01108
# How often each case counts: time as it is mostly played counts most.
COUNTS = {"plain": 3.0, "loose": 1.0, "no drums": 1.0, "half-time": 0.5}
# Frames added to each level, so that what never happened is not impossible; of the shares of levels anywhere.
ADDED = 200.0


def framed(path):
    """Levels of frames, from -1 where the part is silent, and the place in the bar of each."""
    beats = np.array(path.with_suffix(".beats").read_text().split(), float)
    hops = np.frombuffer(path.read_bytes(), np.uint8).reshape(-1, PARTS)
    period = (beats[8] - beats[0]) / 8
    step = max(1, int(np.ceil(period / HOP / MAX_FRAMES)))
    hops = hops[: len(hops) // step * step].reshape(-1, step, PARTS)
    means = np.maximum(hops.astype(float) - 1, 0).sum(1) / step / 16
    levels = np.where((hops > 0).any(1), np.searchsorted(LEVEL_FROM, means, side="right"), -1)
    times = FIRST + (np.arange(len(levels)) + 0.5) * step * HOP - HOP / 2
    inside = (times >= beats[0]) & (times < beats[-1])
    place = np.interp(times, beats, np.arange(len(beats)))
    place = (place * PLACES).astype(int) % (4 * PLACES)
    return levels[inside], place[inside], step


counts = np.zeros((4 * PLACES, PARTS, LEVELS))
for path in sorted(path for folder in sys.argv[1:] for path in Path(folder).glob("*.hops")):
    case = path.stem.split(" ", 1)[1].rsplit(" ", 1)[0]
    weight = COUNTS.get(case)
    if weight is None:
        continue
    levels, place, step = framed(path)
    for part in range(PARTS):
        heard = levels[:, part] >= 0
        np.add.at(counts[:, part], (place[heard], levels[heard, part]), weight * step)
# What is at a place is much the same beside it.
smooth = (np.roll(counts, 1, 0) + 2 * counts + np.roll(counts, -1, 0)) / 4
anywhere = counts.sum(0) / counts.sum((0, 2))[:, None]
smooth += ADDED * anywhere
share = smooth / smooth.sum(2, keepdims=True)
weights = np.clip(np.round(STEPS * np.log(share / anywhere)), -127, 127).astype(int)

print("""//! The log-likelihood ratio of each level of flux at each place in the bar to anywhere, in 32nds. Places run
//! through four beats, 24 per beat. Written by `tests/fit/fit_band.py`.

/// By place, part of the spectrum from low to high, and level.
#[rustfmt::skip]
pub(super) const WEIGHTS: [[[i8; 6]; 3]; 96] = [""")
for row in weights:
    print("    [" + ", ".join("[" + ", ".join(map(str, part)) + "]" for part in row) + "],")
print("];")
