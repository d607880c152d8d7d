"""Phrase starts on labelled solos, and the boundary models once more.

Two checks on the folder of labelled solos, where there is one. First, the pooled F1 of `review
--json`, phrase starts against those that people marked, is at least 0.91. Second, the phrase
starts are exactly, in every file, those of the models as the script that fitted them computes
them in Python (tests/fit/fit_boundaries.py), over mido's reading of the notes and the weights
that the plugin carries: where the whole take is known, notes whose probability reaches the
threshold. Source of the labels: Weimar Jazz Database (Pfleiderer and others 2017).
"""

import json
import sys
from pathlib import Path

import numpy as np

from common import SOLOS, Differs, end, equal, reviews, skip

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT / "tests" / "fit"))
import fit_boundaries as fit  # noqa: E402

LEAST_F1 = 0.91
# A probability this close to its threshold may fall on either side: the two add in other orders.
TIE = 1e-6


def weights() -> dict[str, dict[str, float]]:
    """The plugin's weights by set and feature."""
    sets: dict[str, dict[str, float]] = {}
    for line in (ROOT / "core/src/ear/weights.txt").read_text().splitlines():
        if not line.startswith("#"):
            name, feature, weight = line.split()
            sets.setdefault(name, {})[feature] = float(weight)
    return sets


def chances(onsets: list, sets: dict) -> tuple[np.ndarray, np.ndarray]:
    """Probability and threshold at each onset but the first, with the whole take known."""
    found = []
    for gate, name in ((False, "after"), (True, "gate-after")):
        track = fit.Track([onsets], gate=gate)
        names = fit.GRADES["after"]
        values = np.array([sets[name]["bias"]] + [sets[name][n] for n in names])
        chance = fit.chance_of(track, track.logits(names, values))
        found.append((chance, sets[name]["threshold"], track.marks))
    (plain, threshold, marks), (gated, gate_threshold, _) = found
    return np.where(marks, gated, plain), np.where(marks, gate_threshold, threshold)


def check() -> str:
    labels = [json.loads(line) for line in (SOLOS / "labels.jsonl").read_text().splitlines()]
    reviewed, sets = reviews(SOLOS / "midi"), weights()
    equal(len(reviewed), len(labels), "solos reviewed")
    found = right = labelled = 0
    for label in labels:
        path = SOLOS / label["file"]
        review = reviewed[path.name]
        notes = fit.read_notes(path)
        equal(review["notes"], len(notes), f"{path.name}: notes")
        got = {phrase["first_note"] for phrase in review["phrases"]}
        firsts = [0]
        for index in range(1, len(notes)):
            if notes[index][0] != notes[index - 1][0]:
                firsts.append(index)
        chance, threshold = chances(fit.onsets_of(notes, set()), sets)
        for first, p, least in zip(firsts[1:], chance, threshold, strict=True):
            if (p >= least) != (first in got) and abs(p - least) > TIE:
                raise Differs(f"{path.name}: note {first} has {p:.6f} by the script")
        if not got <= set(firsts):
            raise Differs(f"{path.name}: a phrase begins inside a chord")
        wanted = set(label["phrase_first_notes"]) - {0}
        found, labelled = found + len(got) - 1, labelled + len(wanted)
        right += len(got & wanted)
    f1 = 2 * right / (found + labelled)
    if f1 < LEAST_F1:
        raise Differs(f"pooled F1 {f1:.4f}, under {LEAST_F1}")
    return (
        f"pooled F1 {f1:.4f}; {found:,} phrase starts in {len(labels)} files "
        "are those of the models recomputed in Python"
    )


if not (SOLOS / "labels.jsonl").is_file():
    skip("solos", f"there are no labelled solos at {SOLOS}: neither F1 nor models were checked")
end("solos", check)
