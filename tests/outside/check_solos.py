"""Phrase starts on labelled solos, and the boundary models once more.

Two checks on the folder of labelled solos, where there is one. First, the pooled F1 of `review
--json`, phrase starts against those that people marked, is at least 0.91. Second, the phrase
starts are exactly, in every file, those of the models as another implementation computes them
(tests/fit/expect_boundaries.py), over mido's reading of the notes and the weights that the
plugin carries: where the whole take is known, notes whose probability reaches the threshold. That
script knows no ornaments or glitches, so there every note counts as it came. Source of the labels:
Weimar Jazz Database (Pfleiderer and others 2017).
"""

import json
import sys
from pathlib import Path

from common import SOLOS, Differs, end, equal, reviews, skip

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT / "tests" / "fit"))
import expect_boundaries as script  # noqa: E402

MIN_F1 = 0.91
# A probability this close to its threshold may fall on either side: the two add in other orders.
TIE = 1e-6


def threshold_of(path: Path, grade: str) -> float:
    """The probability from which on a phrase is taken to begin."""
    rows = [line.split() for line in path.read_text().splitlines() if not line.startswith("#")]
    return next(float(weight) for name, what, weight in rows if (name, what) == (grade, "threshold"))


def onsets_of(notes: list) -> tuple[list, list[int]]:
    """Onsets and the first note of each: notes struck together are one, with the latest end and
    the highest key."""
    onsets, firsts = [], []
    for index, (on, off, key) in enumerate(notes):
        if onsets and onsets[-1][0] == on:
            onsets[-1] = [on, max(onsets[-1][1], off), max(onsets[-1][2], key)]
        else:
            onsets.append([on, off, key])
            firsts.append(index)
    return onsets, firsts


def check() -> str:
    labels = [json.loads(line) for line in (SOLOS / "labels.jsonl").read_text().splitlines()]
    table = ROOT / "core/src/segmentation/weights.txt"
    weights, threshold = script.read_weights(table)["after"], threshold_of(table, "after")
    reviewed = reviews(SOLOS / "midi")
    as_they_came = reviews(SOLOS / "midi", melody="all")
    equal(len(reviewed), len(labels), "solos reviewed")
    found = right = labelled = compared = 0
    for label in labels:
        path = SOLOS / label["file"]
        review = reviewed[path.name]
        notes = script.read_notes(path)
        equal(review["notes"], len(notes), f"{path.name}: notes")
        plain = {phrase["first_note"] for phrase in as_they_came[path.name]["phrases"]}
        onsets, firsts = onsets_of(notes)
        for first, row, rest in zip(firsts[1:], *script.features(onsets), strict=True):
            p = script.probability(row, rest, weights)
            if (p >= threshold) != (first in plain) and abs(p - threshold) > TIE:
                raise Differs(f"{path.name}: note {first} has {p:.6f} by the script")
        if not plain <= set(firsts):
            raise Differs(f"{path.name}: a phrase begins inside a chord")
        compared += len(plain) - 1
        got = {phrase["first_note"] for phrase in review["phrases"]}
        wanted = set(label["phrase_first_notes"]) - {0}
        found, labelled = found + len(got) - 1, labelled + len(wanted)
        right += len(got & wanted)
    f1 = 2 * right / (found + labelled)
    if f1 < MIN_F1:
        raise Differs(f"pooled F1 {f1:.4f}, under {MIN_F1}")
    return (
        f"pooled F1 {f1:.4f}; {compared:,} phrase starts in {len(labels)} files "
        "are those of the models worked out in Python"
    )


if not SOLOS.is_dir():
    skip("solos", f"there are no labelled solos at {SOLOS}: neither F1 nor models were checked")
end("solos", check)
