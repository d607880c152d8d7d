"""Fits what it costs to lay the notes of a beat on its parts: the figures of core/src/beats.

    python fit_divisions.py SOLOS INVENTED

SOLOS holds `labels.jsonl` and the MIDI files it names: solos of the Weimar Jazz Database
(Pfleiderer, Frieler, Abesser, Zaddach, Burkhart 2017, "Inside the Jazzomat"; ODbL) with the
database's quantised places. INVENTED is written by

    cargo xtask perform INVENTED --solos 300 --seed 7007

Prints the costs by the beat, those by the player and the weights of steadiness, as `costs.rs` and
`habit.rs` have them: the first two with their sign turned. Needs numpy, scipy, scikit-learn and
mido. The result is the same on every run.
"""
import json
import sys
from pathlib import Path

import mido
import numpy as np
from scipy.optimize import minimize
from sklearn.linear_model import LogisticRegression

BY_BEAT, BY_PLAYER = [1, 2, 3, 4, 5, 6, 7, 8, 10, 12], [1, 2, 3, 4, 6, 8]
MOST = 8            # Notes of a beat that is learnt from.
SPREAD = 0.02       # Seconds.
AHEAD, STEADY_AHEAD, MOST_AHEAD = 0.030, 0.060, 0.2


def solos(folder):
    """Each solo in 4/4: positions in beats, seconds a beat, and the labels of its notes."""
    for line in (folder / "labels.jsonl").read_text().splitlines():
        label = json.loads(line)
        if label["metre"] != "4/4":
            continue
        played, tick, tempo = [], 0, 500_000
        midi = mido.MidiFile(folder / label["file"])
        for message in mido.merge_tracks(midi.tracks):
            tick += message.time
            if message.type == "set_tempo":
                tempo = message.tempo
            elif message.type == "note_on" and message.velocity:
                played.append((tick / midi.ticks_per_beat, tempo / 1e6))
        position, pulse = (np.array(column) for column in zip(*played))
        division, tatum = (np.array(label["notes"][name]) for name in ("division", "tatum"))
        starts = np.isin(np.arange(len(played)), label["phrase_first_notes"])
        beat = np.round(position - (tatum - 1) / division)
        yield position, pulse, division, tatum, beat, starts


def lay(onsets, parts):
    """Different parts for notes in order, with the least sum of squares; None where too few."""
    if len(onsets) > parts:
        return None
    away = (np.asarray(onsets)[:, None] - np.arange(parts) / parts) ** 2
    sums, before = away[0], []
    for row in away[1:]:
        least = np.concatenate(([np.inf], np.minimum.accumulate(sums)[:-1]))
        first = [0] + [int(np.argmin(sums[:part])) for part in range(1, parts)]
        before.append(first)
        sums = least + row
    steps = [int(np.argmin(sums))]
    for first in reversed(before):
        steps.append(first[steps[-1]])
    return np.array(steps[::-1])


class Habit:
    """As `habit.rs` has it."""

    def __init__(self):
        self.lag, self.place, self.pairs, self.odd, self.beats = 0.015, 0.55, 12.0, 0.1, 20.0
        self.means, self.spread_pairs = [0.015, 0.55], 8.0
        self.moments = np.array([1.0, 1.0, 0.25]) * 0.0215**2

    def signs(self):
        first, second, both = self.moments
        return [min(first**0.5 * 1e3, 40), both / (first * second) ** 0.5, self.odd]

    def take(self, onsets, pulse):
        pair = len(onsets) == 2 and 0.4 <= onsets[1] < 0.85
        self.beats = self.beats * 0.995 + 1
        self.odd += ((len(onsets) > 4 or (len(onsets) == 2 and not pair)) - self.odd) / self.beats
        if not pair or onsets[0] >= 0.28:
            return
        on, off = onsets[0] * pulse, onsets[1] * pulse
        self.pairs = self.pairs * 0.99 + 1
        self.lag += (on - self.lag) / self.pairs
        self.place += (onsets[1] - 0.5 * self.lag / pulse - self.place) / self.pairs
        self.spread_pairs = self.spread_pairs * 0.995 + 1
        a, b = on - self.means[0], off - self.means[1] * pulse
        self.means[0] += a / self.spread_pairs
        self.means[1] += (onsets[1] - self.means[1]) / self.spread_pairs
        self.moments += (np.array([a * a, b * b, a * b]) - self.moments) / (self.spread_pairs + 12)


def beats(solo, steady):
    """Beats with what was known before each: onsets, seconds, indices, lag, "and" and signs."""
    position, pulse = solo[:2]
    habit, start = Habit(), 0
    while start < len(position):
        ahead = max(AHEAD, STEADY_AHEAD - habit.lag) if steady else AHEAD
        home = lambda n: np.floor(position[n] + min(ahead / pulse[n], MOST_AHEAD))
        end = start + 1
        while end < len(position) and home(end) == home(start):
            end += 1
        onsets = position[start:end] - home(start)
        yield onsets, pulse[start], slice(start, end), home(start), habit.lag, habit.place, habit.signs()
        habit.take(onsets, pulse[start])
        start = end


def by_beat(onsets):
    for parts in BY_BEAT:
        steps = lay(onsets, parts)
        if steps is None:
            yield None
            continue
        away = onsets - steps / parts
        mean = away.mean()
        yield steps, [away.max() - away.min(), max(mean, 0), max(-mean, 0),
                      max(0, away.max() * parts - 0.5)]


def by_player(onsets, pulse, lag, place):
    off = 0.5 * lag / pulse
    for parts in BY_PLAYER:
        plain = onsets - off
        if parts == 2:
            plain = np.where(plain < place / 2, plain, plain + 0.5 - place)
        steps = lay(plain - np.where(plain < 0.5 / parts, off, 0), parts)
        if steps is None:
            yield None
            continue
        expected = np.where((parts == 2) & (steps == 1), place, steps / parts) + off
        away = (onsets - np.where(steps == 0, 2 * off, expected)) * pulse / SPREAD
        many, headless = parts >= 3, steps[0] > 0
        yield steps, [np.minimum(away**2, 20).sum() / 2, abs(away).max(),
                      many * np.log(60 / pulse / 160), many * max(0, 0.075 * parts / pulse - 1),
                      many * headless, (parts == 2) * headless, many * (parts - len(onsets))]


def fit(cases, count, penalty):
    """Costs of each way and of its features, so that the right ways are likely."""
    width = len(next(way[1] for way in cases[0][0] if way))
    features = np.zeros((len(cases), count, width))
    possible, right = np.zeros((2, len(cases), count), bool)
    for row, (ways, good) in enumerate(cases):
        for column, way in enumerate(ways):
            if way:
                possible[row, column], right[row, column] = True, good[column]
                features[row, column] = way[1]

    def loss(costs):
        likely = np.where(possible, -costs[:count] - features @ costs[count:], -1e9)
        shares = np.exp(likely - likely.max(1, keepdims=True))
        shares /= shares.sum(1, keepdims=True)
        hit = np.maximum((shares * right).sum(1), 1e-12)
        slope = shares * right / hit[:, None] - shares
        slopes = np.r_[slope.sum(0), np.einsum("nm,nmf->f", slope, features)] / len(cases)
        return -np.log(hit).mean() + penalty * costs @ costs, slopes + 2 * penalty * costs

    found = minimize(loss, np.zeros(count + width), jac=True, method="L-BFGS-B",
                     options={"maxiter": 3000, "maxfun": 4000}).x
    return np.r_[found[:count] - found[0], found[count:]]


def kinds(steps, parts):
    return np.where(steps == 0, 0, np.where(2 * steps == parts, 1, 2))


def main(labelled, invented):
    cases, signs, of_player = [], [[], []], []
    for solo in solos(labelled):
        _, _, division, _, beat, starts = solo
        for onsets, _, notes, home, _, _, sign in beats(solo, False):
            if starts[notes].any():
                signs[0].append(sign)
            parts = division[notes]
            if len(onsets) <= MOST and (parts == parts[0]).all() and parts[0] in BY_BEAT \
                    and (beat[notes] == home).all():
                cases.append((list(by_beat(onsets)), [n == parts[0] for n in BY_BEAT]))
    print("by the beat", fit(cases, len(BY_BEAT), 1e-9).round(2).tolist())
    for solo in solos(invented):
        _, _, division, tatum, beat, starts = solo
        signs[1] += [b[6] for b in beats(solo, False) if starts[b[2]].any()]
        for onsets, pulse, notes, home, lag, place, _ in beats(solo, True):
            if len(onsets) > MOST or not starts[notes].any() or (beat[notes] != home).any():
                continue
            ways = list(by_player(onsets, pulse, lag, place))
            meant = np.where(tatum[notes] == 1, 0,
                             np.where(2 * (tatum[notes] - 1) == division[notes], 1, 2))
            good = [bool(way) and (kinds(way[0], parts) == meant).all()
                    for way, parts in zip(ways, BY_PLAYER)]
            if any(good):
                of_player.append((ways, good))
    print("by the player", fit(of_player, len(BY_PLAYER), 1e-5).round(3).tolist())
    rows = np.array(signs[0] + signs[1]) / [10, 1, 1]
    told = LogisticRegression(max_iter=3000).fit(rows, [0] * len(signs[0]) + [1] * len(signs[1]))
    print("steady", (told.coef_[0] / [10, 1, 1]).round(4).tolist(), told.intercept_.round(2))


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:]))
