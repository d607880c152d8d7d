"""Norms and firing rates of the advice on labelled solos.

First, the norms the program carries are the percentiles of what `review --json` says of each
solo in 4/4, taken by `numpy.percentile`, for the measures that a review's phrases give: entries
on beat one and at one place, short phrases, lines over the bar line, ends on the beat. They are
carried to three decimals. Second, all norms printed by `advice FOLDER` are the percentiles it
prints beside them. Third, the table of how often each rule speaks, in the documentation, is what
the command prints; no rule speaks on more than a third of the solos, and at least half of them
have nothing to fix.
"""

import re
from pathlib import Path

import mido
import numpy as np

from common import SOLOS, Differs, end, equal, near, reviews, skip, xtask

ROOT = Path(__file__).resolve().parent.parent.parent
MIN_SAMPLE = 8
PARTS = [10, 25, 50, 75, 90]
SHORT, CARRYING = 1.0, 0.5
MAX_RATE = 100 / 3
MIN_NOTHING = 50


def shares(review: dict) -> dict[str, tuple[int, int]]:
    phrases = review["phrases"]
    carrying = [p for p in phrases if p["bars"] >= CARRYING]
    counted = {
        "BeatOneEntries": [p["entry"]["class"] == "one" for p in phrases],
        "ShortPhrases": [p["bars"] < SHORT for p in phrases],
        "OverTheBar": [p["exit"]["bar"] > p["entry"]["bar"] for p in carrying],
        "OnBeatExits": [p["exit"]["class"] in ("one", "beat") for p in phrases],
    }
    most = max(entry["count"] for entry in review["figures"]["entries"])
    return {name: (sum(each), len(each)) for name, each in counted.items()} | {
        "OnePlaceEntries": (most, len(phrases))
    }


def check() -> str:
    output = xtask("norms", SOLOS / "midi")
    norms = {}
    for name, computed, norm in re.findall(r"^(\w+) +\d+ ([-0-9. ]+) norm ([-0-9. ]+)$", output, re.M):
        computed, norm = ([float(x) for x in text.split()] for text in (computed, norm))
        for got, expected in zip(norm, computed, strict=True):
            near(got, expected, 0.1 if name == "Lag" else 0.0006, f"norm of {name}")
        norms[name] = norm
    equal(len(norms), 9, "measures")

    values: dict[str, list[float]] = {}
    for review in in_four():
        for name, (count, of) in shares(review).items():
            if of >= MIN_SAMPLE:
                values.setdefault(name, []).append(count / of)
    for name, each in values.items():
        for got, expected in zip(norms[name], np.percentile(each, PARTS), strict=True):
            near(got, expected, 0.0006, f"norm of {name} by numpy")

    rates = re.findall(r"^(\w+) " + 4 * r" +([0-9.]+) %" + "$", output, re.M)
    equal(len(rates), 10, "rules")
    text = (ROOT / "core/src/study/advice/mod.rs").read_text(encoding="utf-8")
    table = re.findall(r"^//! \| [a-z ]+ \|((?: [0-9.]* ?\|){4})$", text, re.M)
    for (rule, *figures), line in zip(rates, table, strict=True):
        for figure, written in zip(figures, line.split("|"), strict=False):
            if written.strip():
                equal(float(written), float(figure), f"{rule} in the table of the documentation")
    for rule, speaks, *_ in rates:
        if float(speaks) > MAX_RATE:
            raise Differs(f"{rule} speaks on {speaks} % of the solos")
    nothing = re.search(r"nothing to fix ([0-9.]+) %", output)
    if nothing is None or float(nothing[1]) < MIN_NOTHING:
        raise Differs(f"nothing to fix on too few: {output}")
    most = max(float(speaks) for _, speaks, *_ in rates)
    return (
        f"norms of {len(values)} measures are numpy's percentiles; no rule speaks on more than "
        f"{most} % of the solos, nothing to fix on {nothing[1]} %"
    )


def in_four() -> list[dict]:
    """Reviews of the solos of four quarters throughout, by mido's reading of the signatures."""
    kept = []
    for name, review in reviews(SOLOS / "midi").items():
        file = mido.MidiFile(SOLOS / "midi" / name)
        signatures = [m for m in file.merged_track if m.type == "time_signature"]
        if all((m.numerator, m.denominator) == (4, 4) for m in signatures):
            kept.append(review)
    return kept


if not (SOLOS / "labels.jsonl").is_file():
    skip("advice", f"there are no labelled solos at {SOLOS}: norms and rates were not checked")
end("advice", check)
