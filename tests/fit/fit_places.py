"""Counts how often each spot of a beat is meant, and where its notes fall: `weights.txt`.

    python fit_places.py SOLOS INVENTED COMPOUND > core/src/reading/weights.txt

SOLOS holds `labels.jsonl` and the MIDI files it names: solos of the Weimar Jazz Database
(Pfleiderer, Frieler, Abesser, Zaddach, Burkhart 2017, "Inside the Jazzomat"; ODbL) with the
database's quantised places. INVENTED and COMPOUND are written by

    cargo xtask perform INVENTED --solos 400 --seed 1001
    cargo xtask perform COMPOUND --solos 120 --seed 78 --metre 6/8,9/8,12/8 --tempo 40-160

Needs numpy, scipy and mido. The result is the same on every run.
"""
import argparse
import json
from collections import Counter
from pathlib import Path

import mido
import numpy as np
from scipy.optimize import minimize

REFERENCE, SLOWEST, FASTEST = 160.0, 40.0, 330.0  # Beats a minute.
SIMPLE, COMPOUND = [2, 3, 4, 5, 6, 8], [2, 3, 6]   # Parts of a beat.
LONE = 3         # The last third of a beat whose second third is not played.
WEIGHT = 20      # Counts to begin with, of some 100,000: nothing is ruled out.
BINS, A_BEAT = 20, 32
BANDS = [(0, 140), (130, 210), (200, 9999)]  # Of shapes; they overlap to change gently.
METRES = {"4/4": 4, "6/8": 2, "9/8": 3, "12/8": 4}  # Beats; those in three after the first.


def solos(folder, in_three=False):
    """Each solo's notes in a row of beats: beat, parts, step, begins a phrase, place, tempo."""
    for line in (folder / "labels.jsonl").read_text().splitlines():
        label = json.loads(line)
        if label["metre"] not in METRES or (label["metre"] != "4/4") != in_three:
            continue
        beats, places = METRES[label["metre"]], label["notes"]
        played = positions(folder / label["file"], 1.0 if label["metre"] == "4/4" else 1.5)
        starts, notes = set(label["phrase_first_notes"]), []
        rows = zip(places["bar"], places["beat"], places["division"], places["tatum"], played)
        for index, (bar, beat, parts, tatum, (position, tempo)) in enumerate(rows):
            if parts:
                notes.append([(bar - 1) * beats + beat - 1, parts, tatum - 1, index in starts,
                              position - (tatum - 1) / parts, tempo])
        seconds = {(n[0]) for n in notes if n[1:3] == [3, 1]}
        for note in notes:
            parts, step = note[1:3]
            if parts == 1:
                note[1] = 2
            elif parts == 7 or parts > 8:
                note[1:3] = [8, min(7, round(step * 8 / parts))]
            elif (parts, step) == (3, 2) and (note[3] or note[0] not in seconds):
                note[2] = LONE
        yield label["tempo_bpm"], notes


def positions(path, beat):
    """Where each note begins, in beats, and the tempo there."""
    tick, tempo, found = 0, 500_000, []
    midi = mido.MidiFile(path)
    for event in mido.merge_tracks(midi.tracks):
        tick += event.time
        if event.type == "set_tempo":
            tempo = event.tempo
        elif event.type == "note_on" and event.velocity > 0:
            found.append((tick / midi.ticks_per_beat / beat, 6e7 / tempo / beat))
    return found


def rate(tempo):
    return np.log(np.clip(tempo, SLOWEST, FASTEST) / REFERENCE)


def log_linear(rows, keys, with_persistence):
    """Logarithms of shares that follow the rate in a line, by greatest likelihood."""
    count = len(keys)
    at = {key: index for index, key in enumerate(keys)}
    rates = np.array([rate(row[2]) for row in rows])
    which = np.array([at[row[1]] for row in rows])
    before = np.array([at.get(row[0], -1) for row in rows])
    weight = np.array([row[3] for row in rows])
    weight /= weight.sum()
    same = (before[:, None] == np.arange(count)).astype(float)

    def loss(x):
        persist = x[2 * count] if with_persistence else 0.0
        logit = x[:count] + x[count:2 * count] * rates[:, None] + persist * same
        logit -= logit.max(1, keepdims=True)
        share = np.exp(logit) / np.exp(logit).sum(1, keepdims=True)
        gradient = share * weight[:, None]
        gradient[np.arange(len(which)), which] -= weight
        parts = [gradient.sum(0), (gradient * rates[:, None]).sum(0)]
        if with_persistence:
            parts.append([(gradient * same).sum()])
        value = -(weight * np.log(share[np.arange(len(which)), which] + 1e-300)).sum()
        return value + 1e-4 * (x ** 2).sum(), np.concatenate(parts) + 2e-4 * x

    size = 2 * count + with_persistence
    x = minimize(loss, np.zeros(size), jac=True, method="L-BFGS-B", options={"maxiter": 400}).x
    x[:count] -= np.log(np.exp(x[:count]).sum())
    return x


def count(sources, divisions, name):
    enters, starts, steps, firsts, gaps = [], [], Counter(), Counter(), Counter()
    for folder, share in sources:
        mine = [[], [], Counter(), Counter(), Counter()]
        for tempo, notes in solos(folder, divisions == COMPOUND):
            last = None
            for beat, parts, step, begins, _, _ in notes:
                if parts not in divisions:
                    last = None
                    continue
                if begins:
                    mine[1].append((None, (2, 0) if step == 0 else (parts, step), tempo))
                elif last and beat > last[0]:
                    mine[0].append((last[1], parts, tempo))
                    mine[3][parts, step] += 1
                    mine[4][min(beat - last[0], 3)] += 1
                if last:
                    same = beat == last[0] and parts == last[1] and not begins
                    mine[2][last[1], last[2], step if same else -1] += 1
                last = (beat, parts, step)
        enters += [(*row, share / len(mine[0])) for row in mine[0]]
        starts += [(*row, share / len(mine[1])) for row in mine[1]]
        for total, counted, whole in ((steps, mine[2], 1e5), (firsts, mine[3], 1e5), (gaps, mine[4], 1)):
            for key, number in counted.items():
                total[key] += share * number / sum(counted.values()) * whole

    x = log_linear(enters, divisions, 1)
    for index, parts in enumerate(divisions):
        print(f"{name} enter {parts} {x[index]:.3f} {x[len(divisions) + index]:.3f}")
    print(f"{name} persist {x[-1]:.3f}")
    print(f"{name} gap " + " ".join(f"{max(gaps[g], 1e-3):.4f}" for g in (1, 2, 3)))
    for parts in divisions:
        first = [0, 1, LONE] if parts == 3 else range(parts)
        whole = sum(firsts[parts, step] + WEIGHT for step in first)
        for step in first:
            print(f"{name} first {parts} {step} {(firsts[parts, step] + WEIGHT) / whole:.4f}")
        for step in range(4 if parts == 3 else parts):
            after = {0: [1, LONE], 1: [2]}.get(step, []) if parts == 3 else range(step + 1, parts)
            whole = sum(steps[parts, step, to] + WEIGHT for to in [*after, -1])
            for to in after:
                share = (steps[parts, step, to] + WEIGHT) / whole
                print(f"{name} step {parts} {step} {to} {share:.4f}")
    keys = [(2, 0)] + [(parts, step) for parts in divisions
                       for step in ([1, LONE] if parts == 3 else range(1, parts))]
    x = log_linear(starts, keys, 0)
    for index, (parts, step) in enumerate(keys):
        print(f"{name} start {parts} {step} {x[index]:.3f} {x[len(keys) + index]:.3f}")


def shapes(folder, name):
    """Where notes fall around the spot they are labelled with, in beats."""
    rows = [(n[1], n[2], n[4] - round(n[4]), n[5]) for _, notes in solos(folder) for n in notes]
    parts, step, off, tempo = (np.array(column) for column in zip(*rows))
    for band, (low, high) in enumerate(BANDS):
        inside = (tempo >= low) & (tempo < high)
        for division in SIMPLE:
            for which in range(4 if division == 3 else division):
                # Finer than four, the steps after the first are alike and few.
                of_step = step == which if division <= 4 else (step > 0) == (which > 0)
                mine = inside & (parts == division) & of_step
                shape = np.histogram(off[mine], np.arange(-BINS // 2, BINS // 2 + 1) / A_BEAT)[0]
                shape = np.convolve(shape, [0.05, 0.9, 0.05], "same") + 0.003 * shape.sum() + 0.02
                shape *= A_BEAT / shape.sum()
                print(f"{name} shape {division} {which} {band} " + " ".join(f"{d:.2f}" for d in shape))


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    for folder in ("solos", "invented", "compound"):
        parser.add_argument(folder, type=Path)
    folders = parser.parse_args()
    print("# Counted by tests/fit/fit_places.py; see core/src/reading/weights.rs.")
    count([(folders.solos, 1.0)], SIMPLE, "usual")
    shapes(folders.solos, "usual")
    count([(folders.solos, 0.5), (folders.invented, 0.5)], SIMPLE, "simple")
    count([(folders.compound, 1.0)], COMPOUND, "compound")


if __name__ == "__main__":
    main()
