"""Phrase starts on labelled solos, and the boundary rule once more.

Two checks on the folder of labelled solos, where there is one. First, the pooled F1 of `xtask
score`, phrase starts against those that people marked, is at least 0.875. Second, the phrase
starts of `review --json` are exactly, in every file, those of the rule as written down: a phrase
begins where the rest before a note is at least max(0.25 s, 1.5 times the median of the last 16
inter-onset intervals), less a grain of 1 ms, with 0.2 s for the median before the first
interval. That is recomputed here over mido's reading of the notes. Source of the labels: Weimar
Jazz Database (Pfleiderer and others 2017).
"""

import re
from statistics import median

from common import SOLOS, Differs, Note, end, equal, notes_of, reviews, skip, xtask

LEAST_F1 = 0.875
LEAST_REST = 0.25
RATIO = 1.5
RECENT = 16
FIRST_INTERVAL = 0.2
GRAIN = 0.001


def starts(notes: list[Note]) -> list[int]:
    """Indices of the notes that begin phrases. Notes struck together are one onset."""
    found, intervals = [0], []
    onset = [notes[0]]
    for index, note in enumerate(notes[1:], start=1):
        if note.tick == onset[0].tick:
            onset.append(note)
            continue
        ends = [last.off if last.off is not None else note.on for last in onset]
        rest = max(0.0, note.on - max(ends))
        usual = median(intervals[-RECENT:]) if intervals else FIRST_INTERVAL
        if rest >= max(LEAST_REST, RATIO * usual) - GRAIN:
            found.append(index)
        intervals.append(note.on - onset[0].on)
        onset = [note]
    return found


def check() -> str:
    scored = xtask("score", SOLOS)
    pooled = re.search(r"pooled: .* F1 ([0-9.]+)", scored)
    if pooled is None:
        raise Differs(f"no pooled F1 in {scored!r}")
    if float(pooled[1]) < LEAST_F1:
        raise Differs(f"pooled F1 {pooled[1]}, under {LEAST_F1}")

    paths = sorted((SOLOS / "midi").glob("*.mid"))
    reviewed = reviews(SOLOS / "midi")
    equal(len(reviewed), len(paths), "solos reviewed")
    phrases = 0
    for path in paths:
        notes = notes_of(path)
        review = reviewed[path.name]
        equal(review["notes"], len(notes), f"{path.name}: notes")
        got = [phrase["first_note"] for phrase in review["phrases"]]
        expected = starts(notes)
        differing = sorted(set(got) ^ set(expected))
        if differing:
            raise Differs(f"{path.name}: phrase starts differ at notes {differing}")
        phrases += len(got)
    return (
        f"pooled F1 {pooled[1]}; {phrases:,} phrase starts in {len(paths)} files "
        "are those of the rule recomputed over mido's notes"
    )


if not (SOLOS / "labels.jsonl").is_file():
    skip("solos", f"there are no labelled solos at {SOLOS}: neither F1 nor the rule was checked")
end("solos", check)
