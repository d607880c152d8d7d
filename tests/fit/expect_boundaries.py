"""What the boundary models say of five labelled solos, worked out apart from `core::segmentation`: a test
holds the two against each other.

    python expect_boundaries.py FOLDER WEIGHTS > expected.jsonl

FOLDER holds `labels.jsonl` and the MIDI files it names: solos of the Weimar Jazz Database
(Pfleiderer, Frieler, Abesser, Zaddach, Burkhart 2017, "Inside the Jazzomat"; ODbL). WEIGHTS is
`core/src/segmentation/weights.txt`. Needs mido. No two notes of these solos share an onset, and their note
ends mean something.
"""
import json
import math
import sys
from pathlib import Path

import mido

SOLOS = ("open-001", "open-010", "open-050", "open-100", "open-200")
GRADES = ("live", "settled", "after")

# Every constant of the features. Times are in seconds.
MIN_REST = 0.08      # A shorter rest never parts phrases: probability 0.
CERTAIN_REST, CERTAIN_LOGIT = 1.5, math.log(99)  # So long a rest parts phrases, at least .99.
REST_FLOOR, REST_CAP = 0.1, 10.0  # Rests are clamped to this before the logarithm.
MEMORY_CAP = 1.2       # A remembered rest counts as no longer: sparse long tones stay parted.
INTERVAL_FLOOR, INTERVAL_CAP = 0.01, 4.0
FIRST_MEDIAN, MEDIAN_CAP = 0.2, 0.8  # Median interval before any was heard, and at most.
RECENT = 16            # Intervals and keys looked back over.
NEAR = 6               # Rests compared with on either side.
RULE_REST, RULE_RATIO, RULE_CAP, GRAIN = 0.25, 1.5, 1.0, 0.001  # The plain rule, see `is_rule`.
USUAL_REST, USUAL_COUNT = 0.67, 4.0  # The median rest between phrases, worth four heard ones.
USUAL_LENGTH, LENGTH_RATE = 12.0, 0.1  # Notes in a phrase, and how fast the average follows.
WIDEST_LEAP = 19.0     # Semitones; wider leaps count as this.


def log_rest(rest):
    return math.log(min(max(rest, REST_FLOOR), REST_CAP))


def log_interval(interval):
    return math.log(min(max(interval, INTERVAL_FLOOR), INTERVAL_CAP))


def capped_median(intervals):
    """The median interval, bounded; the first guess where there is none."""
    if not intervals:
        return FIRST_MEDIAN
    ordered, half = sorted(intervals), len(intervals) // 2
    return min((ordered[half] + ordered[(len(ordered) - 1) // 2]) / 2, MEDIAN_CAP)


def is_rule(rest, median):
    """The plain rule: marks the boundaries that the features' memory goes by."""
    return rest >= max(RULE_REST, min(RULE_RATIO * median, RULE_CAP)) - GRAIN


def read_notes(path):
    """(onset, end, key) of every note, in seconds, in order of onset."""
    now, sounding, notes = 0.0, {}, []
    for message in mido.MidiFile(path):
        now += message.time
        if message.type == "note_on" and message.velocity > 0:
            notes.append([now, None, message.note])
            sounding.setdefault((message.channel, message.note), []).append(notes[-1])
        elif message.type in ("note_on", "note_off"):
            held = sounding.get((message.channel, message.note))
            if held:
                held.pop(0)[1] = now
    for note in notes:
        note[1] = now if note[1] is None else note[1]
    return notes


def features(onsets):
    """Every feature of each onset but the first, as a list of dicts, and its rest. Index i of the
    result is the onset i + 1, before which interval i lies."""
    count = len(onsets) - 1
    ons = [o[0] for o in onsets]
    keys = [o[2] for o in onsets]
    gaps = [ons[i + 1] - ons[i] for i in range(count)]
    medians = [capped_median(gaps[max(0, i - RECENT):i]) for i in range(count)]
    rests = [max(0.0, ons[i + 1] - onsets[i][1]) for i in range(count)]
    logs = [log_rest(r) for r in rests]
    capped = [min(v, math.log(MEMORY_CAP)) for v in logs]
    steps = [log_interval(g) for g in gaps]
    rule = [is_rule(r, m) for r, m in zip(rests, medians)]
    lowest = math.log(REST_FLOOR)  # Stands for a neighbour that does not exist.
    usual = math.log(USUAL_REST)
    total, seen = USUAL_COUNT * usual, USUAL_COUNT
    all_total = total + sum(c for c, r in zip(capped, rule) if r)
    all_seen = seen + sum(rule)
    notes, length = 1, math.log(USUAL_LENGTH)
    rows = []
    for i in range(count):
        following = capped[i + 1] if i + 1 < count else lowest
        second = capped[i + 2] if i + 2 < count else lowest
        ahead = [steps[j] if j < count else log_interval(medians[i]) for j in (i + 1, i + 2)]
        around = gaps[max(0, i - RECENT):i] + gaps[i + 1:i + 1 + RECENT]
        heard = keys[max(0, i - RECENT + 1):i + 1]
        own = 1.0 if rule[i] else 0.0
        rows.append({
            "rel_before": logs[i] - max(capped[max(0, i - NEAR):i], default=lowest),
            "rel_usual": logs[i] - total / seen,
            "interval": steps[i],
            "interval_med": steps[i] - log_interval(medians[i]),
            "leap": min(abs(keys[i + 1] - keys[i]), WIDEST_LEAP) / 12.0,
            "notes": math.log(notes),
            "notes_usual": math.log(notes) - length,
            "rel_next": logs[i] - following,
            "rel_next_two": logs[i] - max(following, second),
            "interval_next": steps[i] - max(ahead),
            "rel_after": logs[i] - max(capped[i + 1:i + 1 + NEAR], default=lowest),
            "rel_usual_all": logs[i] - (all_total - own * capped[i]) / (all_seen - own),
            "interval_med_all": steps[i] - log_interval(capped_median(around)),
            "end_height": (keys[i] - sum(heard) / len(heard)) / 12.0,
        })
        if rule[i]:
            total, seen = total + capped[i], seen + 1
            length += LENGTH_RATE * (math.log(notes) - length)
            notes = 1
        else:
            notes += 1
    after = 1
    for i in range(count - 1, -1, -1):
        rows[i]["notes_after"] = math.log(after)
        after = 1 if rule[i] else after + 1
    return rows, rests


def probability(row, rest, weights):
    if rest < MIN_REST:
        return 0.0
    seen = {"bias": 1.0, **row}
    logit = sum(seen[name] * weight for name, weight in weights.items())
    if rest >= CERTAIN_REST:
        logit = max(logit, CERTAIN_LOGIT)
    return 1.0 / (1.0 + math.exp(-logit))


def read_weights(path):
    """By grade, a dict of the bias and the weight of each feature."""
    sets = {}
    for line in path.read_text().splitlines():
        if not line.startswith("#"):
            name, feature, weight = line.split()
            if feature != "threshold":
                sets.setdefault(name, {})[feature] = float(weight)
    return sets


def main():
    folder, weights = Path(sys.argv[1]), read_weights(Path(sys.argv[2]))
    entries = map(json.loads, (folder / "labels.jsonl").read_text().splitlines())
    for entry in entries:
        if entry["id"] in SOLOS:
            rows, rests = features(read_notes(folder / entry["file"]))
            line = {"id": entry["id"]}
            for grade in GRADES:
                chances = [probability(*seen, weights[grade]) for seen in zip(rows, rests)]
                # The first note of a solo begins a phrase.
                line[grade] = [1.0] + [round(chance, 6) for chance in chances]
            print(json.dumps(line))


if __name__ == "__main__":
    main()
