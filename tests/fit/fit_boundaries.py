"""Fits the models that decide whether a note begins a phrase, and scores them.

    python fit_boundaries.py FOLDER [--weights boundary_weights.txt] [--expected expected.jsonl]

FOLDER holds `labels.jsonl` and the MIDI files it names: solos of the Weimar Jazz Database
(Pfleiderer, Frieler, Abesser, Zaddach, Burkhart 2017, "Inside the Jazzomat"; ODbL), whose
phrases were marked by people. Needs numpy and mido. The result is the same on every run.

One family of logistic models in three grades of hindsight: `live` decides at the onset,
`settled` once two more onsets have come, `after` when the take is complete. A second set of
each (`gate-live`, ...) is for controllers whose note ends mean nothing: there the rest is
guessed from the onsets, by the same features.
"""
import argparse
import json
import math
from pathlib import Path

import mido
import numpy as np

# Every constant of the features. Times are in seconds.
LEAST_REST = 0.08      # A shorter rest never parts phrases: probability 0.
CERTAIN_REST, CERTAIN_LOGIT = 2.0, math.log(99)  # So long a rest parts phrases, at least .99.
REST_FLOOR, REST_CAP = 0.1, 10.0  # Rests are clamped to this before the logarithm.
MEMORY_CAP = 1.2       # A remembered rest counts as no longer: sparse long tones stay parted.
INTERVAL_FLOOR, INTERVAL_CAP = 0.01, 4.0
FIRST_MEDIAN, MEDIAN_CAP = 0.2, 0.8  # Median interval before any was heard, and at most.
RECENT = 16            # Intervals, keys and durations looked back over.
NEAR = 6               # Rests compared with on either side.
RULE_REST, RULE_RATIO, RULE_CAP, GRAIN = 0.25, 1.5, 1.0, 0.001  # The plain rule, see `is_rule`.
USUAL_REST, USUAL_COUNT = 0.67, 4.0  # The median rest between phrases, worth four heard ones.
USUAL_LENGTH, LENGTH_RATE = 12.0, 0.1  # Notes in a phrase, and how fast the average follows.
WIDEST_LEAP = 19.0     # Semitones; wider leaps count as this.
GATE_LEAST, GATE_SPREAD, GATE_LONGEST, GATE_SHARE = 8, 0.004, 0.12, 0.875
GATE_NOTE = 0.5        # In gate mode a note is taken to last this share of the median interval.

LIVE = ["rel_before", "rel_usual", "interval_med", "leap", "notes", "notes_usual", "interval"]
SETTLED = LIVE[:6] + ["rel_next", "rel_next_two", "interval_next"]
AFTER = ["rel_before", "rel_usual_all", "interval_med_all", "leap", "notes", "notes_after",
         "rel_next", "rel_next_two", "rel_after", "interval_next", "end_height"]
GRADES = {"live": LIVE, "settled": SETTLED, "after": AFTER}
BANDS = [(0, 100), (100, 140), (140, 180), (180, 220), (220, 270), (270, 9999)]
FOLDS = 5
RIDGE = 1.0            # Standard deviation 1 of the prior on each weight; the bias is free.
PLAYER_SD = 0.6        # Prior standard deviation of a player's own bias, in logits.
LESSONS = (3, 5, 10)   # Corrections taught in the simulations.


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


def onsets_of(notes, starts):
    """Notes struck together are one onset: latest end, highest key, a start if any is one."""
    onsets = []
    for index, (on, off, key) in enumerate(notes):
        if onsets and onsets[-1][0] == on:
            last = onsets[-1]
            last[1], last[2] = max(last[1], off), max(last[2], key)
            last[3] = last[3] or index in starts
        else:
            onsets.append([on, off, key, index in starts])
    return onsets


def gate_marks(onsets):
    """For each onset but the first, whether the ends heard by then look made by a machine:
    nearly all of the last durations alike and short."""
    marks = []
    for i in range(1, len(onsets)):
        recent = sorted(min(off, onsets[i][0]) - on for on, off, _, _ in
                        onsets[max(0, i - RECENT):i])
        middle = recent[len(recent) // 2]
        alike = sum(abs(d - middle) <= GATE_SPREAD for d in recent)
        marks.append(len(recent) >= GATE_LEAST and middle <= GATE_LONGEST
                     and alike >= GATE_SHARE * len(recent))
    return np.array(marks, bool)


def features(onsets, gate):
    """Every feature of each onset but the first, as a dict of arrays, and its rest. Index i of
    the result is the onset i + 1, before which interval i lies."""
    count = len(onsets) - 1
    ons = [o[0] for o in onsets]
    keys = [o[2] for o in onsets]
    gaps = [ons[i + 1] - ons[i] for i in range(count)]
    medians = [capped_median(gaps[max(0, i - RECENT):i]) for i in range(count)]
    if gate:
        rests = [max(0.0, g - GATE_NOTE * m) for g, m in zip(gaps, medians)]
    else:
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
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}, np.array(rests)


def sigmoid(z):
    return 1.0 / (1.0 + np.exp(-np.clip(z, -40, 40)))


class Track:
    """All solos seen one way: features stacked, with the solo, the label and the rest of each."""

    def __init__(self, solos, gate=False):
        parts = [features(s, gate) for s in solos]
        self.columns = {n: np.concatenate([p[0][n] for p in parts]) for n in parts[0][0]}
        self.rest = np.concatenate([p[1] for p in parts])
        self.open = self.rest >= LEAST_REST
        self.label = np.concatenate([[o[3] for o in s[1:]] for s in solos]).astype(float)
        self.solo = np.concatenate([np.full(len(s) - 1, i) for i, s in enumerate(solos)])
        self.marks = np.concatenate([gate_marks(s) for s in solos])

    def matrix(self, names):
        return np.column_stack([np.ones(len(self.label))] + [self.columns[n] for n in names])

    def logits(self, names, weights):
        logit = self.matrix(names) @ weights
        logit = np.where(self.rest >= CERTAIN_REST, np.maximum(logit, CERTAIN_LOGIT), logit)
        return np.where(self.open, logit, -40.0)

    def fit(self, names, rows):
        """Weights by Newton's method on the rows that a rest leaves open, and the threshold
        of the best F1 on all rows."""
        use = rows & self.open
        matrix, label = self.matrix(names)[use], self.label[use]
        weights, ridge = np.zeros(matrix.shape[1]), RIDGE * np.eye(matrix.shape[1])
        ridge[0, 0] = 0.0
        for _ in range(30):
            p = sigmoid(matrix @ weights)
            slope = matrix.T @ (p - label) + ridge @ weights
            bend = (matrix * (p * (1 - p))[:, None]).T @ matrix + ridge
            weights = weights - np.linalg.solve(bend, slope)
        chance = sigmoid(self.logits(names, weights))[rows]
        grid = np.arange(0.30, 0.601, 0.01)
        scores = [f1(chance >= t, self.label[rows])[0] for t in grid]
        # The scores are noisy: the middle of those close to the best is steadier than the best.
        close = grid[np.array(scores) >= max(scores) - 0.001]
        return weights, round(float((close[0] + close[-1]) / 2), 2)


def f1(decided, label):
    hits = float((decided & (label > 0)).sum())
    return (2 * hits / max(1.0, decided.sum() + label.sum()), hits / max(1.0, decided.sum()),
            hits / max(1.0, label.sum()))


def calibration_error(chance, label, mass):
    """Expected calibration error: 15 bins of equal width, or 10 of equal mass."""
    order = np.argsort(chance, kind="stable")
    if mass:
        bins = np.array_split(order, 10)
    else:
        which = np.minimum((chance * 15).astype(int), 14)
        bins = [np.flatnonzero(which == b) for b in range(15)]
    return sum(abs(chance[b].sum() - label[b].sum()) for b in bins if len(b)) / len(chance)


def cross_validate(track, names, others=()):
    """Logits and thresholds of each row by weights fitted without its fold of solos; and the
    same weights on other tracks with the same rows."""
    tracks = [track, *others]
    logit = [np.zeros(len(track.label)) for _ in tracks]
    threshold = np.zeros(len(track.label))
    for fold in range(FOLDS):
        test = track.solo % FOLDS == fold
        weights, threshold[test] = track.fit(names, ~test)
        for out, seen in zip(logit, tracks):
            out[test] = seen.logits(names, weights)[test]
    return logit, threshold


def teach(logit, label, threshold, wanted):
    """Walks through one solo, correcting each wrong decision. After each correction the
    player's bias is set to its most likely value given every note passed so far. Returns the
    place after the last of the wanted corrections and the bias then; nothing if too few came."""
    bias, lessons = 0.0, 0
    edge = math.log(threshold / (1 - threshold))
    for i in range(len(logit)):
        if (logit[i] + bias >= edge) == (label[i] > 0):
            continue
        lessons += 1
        z, y = logit[:i + 1], label[:i + 1]
        use = z > -40.0
        for _ in range(20):
            p = sigmoid(z[use] + bias)
            slope = (p - y[use]).sum() + bias / PLAYER_SD ** 2
            bias -= slope / ((p * (1 - p)).sum() + 1 / PLAYER_SD ** 2)
        if lessons == wanted:
            return i + 1, bias
    return None


def report_teaching(name, track, logit, threshold, wanted):
    plain, taught, label, solos, better, worse = [], [], [], 0, 0, 0
    for solo in np.unique(track.solo):
        rows = np.flatnonzero(track.solo == solo)
        t = threshold[rows[0]]
        lesson = teach(logit[rows], track.label[rows], t, wanted)
        if lesson is None:
            continue
        solos += 1
        rest = rows[lesson[0]:]
        edge = math.log(t / (1 - t))
        plain.append(logit[rest] >= edge)
        taught.append(logit[rest] + lesson[1] >= edge)
        label.append(track.label[rest])
        change = ((taught[-1] != (label[-1] > 0)).sum() - (plain[-1] != (label[-1] > 0)).sum())
        better, worse = better + (change < 0), worse + (change > 0)
    plain, taught, label = map(np.concatenate, (plain, taught, label))
    print(f"taught {name:8} {len(label)} notes of {solos} solos after {wanted} corrections: F1 "
          f"{f1(plain, label)[0]:.4f} -> {f1(taught, label)[0]:.4f}, errors "
          f"{(plain != (label > 0)).sum()} -> {(taught != (label > 0)).sum()}; "
          f"solos better {better}, worse {worse}")


def report(name, chance, threshold, track, tempo):
    label, decided = track.label, chance >= threshold
    score, candidates = f1(decided, label), chance > 0
    errors = [calibration_error(chance[c], label[c], m) for c in (slice(None), candidates)
              for m in (False, True)]
    bands = [f1(decided[r], label[r])[0] for r in
             ((tempo[track.solo] >= a) & (tempo[track.solo] < b) for a, b in BANDS)]
    print(f"{name:22} F1 {score[0]:.4f} P {score[1]:.3f} R {score[2]:.3f}  ECE all "
          f"{errors[0]:.4f}/{errors[1]:.4f} open {errors[2]:.4f}/{errors[3]:.4f}  tempo "
          + " ".join(f"{b:.3f}" for b in bands))


def chance_of(track, logit):
    return np.where(track.open, sigmoid(logit), 0.0)


def sparse_tones(sounding, silence):
    """Ten long tones, each followed by the same silence: phrases of one note."""
    step = sounding + silence
    return [[step * i, step * i + sounding, 60 + 2 * (i % 3), True] for i in range(10)]


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--weights", type=Path, default=Path("boundary_weights.txt"))
    parser.add_argument("--expected", type=Path)
    options = parser.parse_args()
    lines = (options.folder / "labels.jsonl").read_text().splitlines()
    entries = [json.loads(line) for line in lines]
    tempo = np.array([e["tempo_bpm"] for e in entries])
    solos = [onsets_of(read_notes(options.folder / e["file"]), set(e["phrase_first_notes"]))
             for e in entries]
    fixed = [[[on, on + 0.04, key, start] for on, _, key, start in s] for s in solos]
    legato = [[[o[0], n[0] if 0 < n[0] - o[1] < 0.15 else o[1], *o[2:]]
               for o, n in zip(s, s[1:] + [s[-1]])] for s in solos]
    plain, joined, gated = Track(solos), Track(legato), Track(fixed, gate=True)
    shut = Track(fixed)
    long = plain.rest >= CERTAIN_REST
    print(f"starts after a rest of {CERTAIN_REST} s or more: {plain.label[long].mean():.4f} of "
          f"{long.sum()}")
    print(f"solos {len(solos)}, onsets {len(plain.label)}, starts {int(plain.label.sum())}, "
          f"gate found wrongly {plain.marks.mean():.5f}, rightly {gated.marks.mean():.4f}")
    everything = np.ones(len(plain.label), bool)
    fitted, taught = {}, []
    for name, names in GRADES.items():
        (logit, smooth, bare), threshold = cross_validate(plain, names, (joined, shut))
        report(name, chance_of(plain, logit), threshold, plain, tempo)
        report(f"{name}, legato", chance_of(joined, smooth), threshold, joined, tempo)
        (gate_logit,), gate_threshold = cross_validate(gated, names)
        report(f"gate-{name}", chance_of(gated, gate_logit), gate_threshold, gated, tempo)
        both = np.where(gated.marks, chance_of(gated, gate_logit), chance_of(shut, bare))
        report(f"gate-{name}, as found", both, np.where(gated.marks, gate_threshold, threshold),
               gated, tempo)
        taught.append((name, plain, logit, threshold))
        fitted[name] = plain.fit(names, everything)
        fitted[f"gate-{name}"] = gated.fit(names, everything)
    for lesson in taught:
        for wanted in LESSONS:
            report_teaching(*lesson, wanted)
    tones = Track([sparse_tones(1.5, 3.5)])
    for name, names in GRADES.items():
        chance = chance_of(tones, tones.logits(names, fitted[name][0]))
        print(f"sparse tones, {name}: least probability {chance.min():.4f}")
    write_weights(options.weights, fitted)
    if options.expected:
        write_expected(options.expected, entries, plain, fitted)


def write_weights(path, fitted):
    out = ["# Weights of the phrase boundary models: set, feature, weight.",
           "# Fitted by fit_boundaries.py on 212 solos of the Weimar Jazz Database (Pfleiderer,",
           "# Frieler, Abesser, Zaddach, Burkhart 2017; ODbL), phrases marked by people.",
           "# A note begins a phrase where the probability is at least the set's threshold.",
           f"# prior standard deviation of a player's own bias, in logits: {PLAYER_SD}"]
    for name, (weights, threshold) in fitted.items():
        out.append(f"{name} threshold {threshold}")
        for feature, weight in zip(["bias"] + GRADES[name.removeprefix("gate-")], weights):
            out.append(f"{name} {feature} {weight:.6f}")
    path.write_text("\n".join(out) + "\n")


def write_expected(path, entries, track, fitted):
    """Probabilities of five solos by the weights as written, for a test in another language.
    The first note of a solo begins a phrase: 1."""
    rows = []
    for i, entry in enumerate(entries):
        if entry["id"] in ("open-001", "open-010", "open-050", "open-100", "open-200"):
            row = {"id": entry["id"]}
            for name, names in GRADES.items():
                chance = chance_of(track, track.logits(names, np.round(fitted[name][0], 6)))
                row[name] = [1.0] + [round(float(c), 6) for c in chance[track.solo == i]]
            rows.append(json.dumps(row))
    path.write_text("\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
