"""Fits how the notes of a beat are laid on its parts: the figures of core/src/quantization/beat_quantizer.

    python fit_divisions.py SOLOS INVENTED

SOLOS holds `labels.jsonl` and the MIDI files it names: solos of the Weimar Jazz Database
(Pfleiderer, Frieler, Abesser, Zaddach, Burkhart 2017, "Inside the Jazzomat"; ODbL) with the
database's quantised places. INVENTED is written by

    cargo xtask perform INVENTED --timing simple --solos 300 --seed 7007

Prints the costs by the beat, those by the player, and the odds of the second against the first, as
`costs.rs`, `mixture_weight.rs` and `player_timing.rs` have them: costs with their sign turned. Then how
often both together are right at phrase starts, settled and after the take, by five-fold cross-validation
grouped by solo.
Needs numpy, scipy and mido. The result is the same on every run.
"""
import json
import sys
from pathlib import Path

import mido
import numpy as np
from scipy.optimize import minimize

BY_BEAT, BY_PLAYER = list(range(1, 17)) + [18, 20], [1, 2, 3, 4, 6, 8]
MAX_NOTES = 8            # Notes of a beat that is learnt from.
SPREAD = 0.02       # Seconds.
AHEAD, STEADY_AHEAD, MAX_AHEAD = 0.0303, 0.060, 0.2
NEXT = 0.5501       # A note this late for a part, in parts, is on the next one.
SWUNG = 0.52
LEARNT_FROM = 1000  # So many notes tell of the player before a whole take is read.
# What a labelled start weighs, and an invented one, as settled and after the take.
WEIGHTS = [(6.0, 6.0), (1.0, 2.0)]
FOLDS = 5
SIGNS = "spread together odd carried deviation rate player".split()
STEADY = np.r_[1.0, np.zeros(len(SIGNS))]  # Odds by which beats are found as a steady player's.


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
        meant = kinds(tatum - 1, division)
        if label["feel"] == "SWING":
            meant[3 * (tatum - 1) == 2 * division] = 1
        yield position, pulse, division, meant, beat, starts


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
    """As `player_timing.rs` has it."""

    def __init__(self):
        self.lag, self.place, self.pairs, self.odd, self.beats = 0.015, 0.55, 12.0, 0.1, 20.0
        self.means, self.spread_pairs = [0.015, 0.55], 8.0
        self.moments = np.array([1.0, 1.0, 0.25]) * 0.0215**2
        self.carried, self.last, self.home = np.array([0.8, 4.0]), None, -9

    def signs(self):
        first, second, both = self.moments
        return [min(first**0.5 * 1e3, 40), both / (first * second) ** 0.5, self.odd,
                self.carried[0] / self.carried[1]]

    def take(self, onsets, pulse, away, home):
        if home - self.home > 1:
            self.last = None
        for spreads in np.clip(away, -4, 4):
            if self.last is not None:
                step = [spreads * self.last, (spreads**2 + self.last**2) / 2]
                self.carried = self.carried * 0.995 + step
            self.last = spreads
        self.home = home
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


def beats(solo, player, odds, habit):
    """Beats with what was known before each: onsets, seconds, indices, the beat, the ways by the
    player, swing and signs. `player` are the costs by the player, if known, and `odds` those; `habit`
    is what is known before the first, and learns on."""
    position, pulse = solo[:2]
    start = 0
    habit.last = None
    while start < len(position):
        signs = habit.signs()
        steady = odds is not None and odds[0] + odds[1:5] @ signs > 0
        ahead = max(AHEAD, STEADY_AHEAD - habit.lag) if steady else AHEAD
        home = lambda n: np.floor(position[n] + min(ahead / pulse[n], MAX_AHEAD))
        end = start + 1
        while end < len(position) and home(end) == home(start):
            end += 1
        onsets = position[start:end] - home(start)
        ways = list(by_player(onsets, pulse[start], habit.lag, habit.place))
        yield onsets, pulse[start], slice(start, end), home(start), ways, habit.place > SWUNG, signs
        costs = likely(ways, player) if player is not None else [-1e9]
        away = ways[int(np.argmax(costs))][2] if max(costs) > -1e8 else []
        habit.take(onsets, pulse[start], away, home(start))
        start = end


def known(solo, player):
    """What is known of a player before a whole take is read: his lag and swing, and by them how
    steady he is. His beats are found as a steady player's."""
    first, habit = [column[:LEARNT_FROM] for column in solo[:2]], Habit()
    for _ in beats(first, player, STEADY, habit):
        pass
    again = Habit()
    again.lag, again.place, again.pairs = habit.lag, habit.place, habit.pairs
    again.means = habit.means
    for _ in beats(first, player, STEADY, again):
        pass
    return again


def by_beat(onsets):
    for parts in BY_BEAT:
        steps = []
        for onset in onsets:
            nearest = int(np.floor(onset * parts + 1 - NEXT))
            steps.append(max(nearest, steps[-1] + 1 if steps else 0))
        if steps[-1] >= parts:
            yield None
            continue
        steps = np.array(steps)
        away = onsets - steps / parts
        yield steps, [away.std(ddof=1) if len(away) > 1 else 0, np.sqrt((away**2).sum())]


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
        many, headless = parts >= 3, steps[0] > 0
        away = (onsets - np.where(steps == 0, 2 * off, expected)) * pulse / SPREAD
        yield steps, [np.minimum(away**2, 20).sum() / 2, abs(away).max(),
                      many * np.log(60 / pulse / 160), many * max(0, 0.075 * parts / pulse - 1),
                      many * headless, (parts == 2) * headless, many * (parts - len(onsets))], away


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


def likely(ways, costs):
    """How likely each way is, as a logarithm."""
    count = len(ways)
    return [-costs[n] - np.dot(costs[count:], way[1]) if way else -1e9 for n, way in enumerate(ways)]


def kinds(steps, parts):
    return np.where(steps == 0, 0, np.where(2 * steps == parts, 1, 2))


def shares(ways, logs, parts, swings, note):
    """The shares of on the beat, "and" and elsewhere that the ways give a note."""
    found = np.full(3, 1e-9)
    for way, log, division in zip(ways, logs, parts):
        if way:
            kind = kinds(way[0], division)[note]
            lone = swings and 3 * way[0][note] == 2 * division and not any(3 * way[0] == division)
            found[1 if lone else kind] += np.exp(log - max(logs))
    return found / found.sum()


def starts_of(solos, costs, player, odds, whole):
    """Phrase starts: the solo, what was meant, shares by the beat and by the player, signs."""
    for number, solo in enumerate(solos):
        meant, starts = solo[3], solo[5]
        habit = known(solo, player) if whole else Habit()
        for onsets, pulse, notes, _, ways, swings, signs in beats(solo, player, odds, habit):
            for note in np.flatnonzero(starts[notes]):
                if len(onsets) > MAX_NOTES:
                    continue
                of_beat = list(by_beat(onsets))
                logs = likely(of_beat, costs), likely(ways, player)
                way = ways[int(np.argmax(logs[1]))]
                yield (number, meant[notes][note], shares(of_beat, logs[0], BY_BEAT, swings, note),
                       shares(ways, logs[1], BY_PLAYER, False, note),
                       signs + [abs(way[2]).max() - 1.2, np.log(pulse / 0.375), max(logs[1]) + 2])


def fit_odds(rows, weights):
    """Odds of the reading by the player, so that both together make what was meant likely."""
    meant, of_beat, of_player, signs = (np.array(column) for column in rows)
    scale = signs.std(0)
    every = np.arange(len(meant))
    beat, player = (np.maximum(of[every, meant], 1e-3) for of in (of_beat, of_player))

    def loss(odds):
        share = 1 / (1 + np.exp(-odds[0] - signs / scale @ odds[1:]))
        both = share * player + (1 - share) * beat
        slope = -weights * (player - beat) * share * (1 - share) / both
        slopes = np.r_[slope.sum(), (signs / scale).T @ slope] / weights.sum()
        lost = -(weights * np.log(both)).sum() / weights.sum() + 1e-4 * odds[1:] @ odds[1:]
        return lost, slopes + np.r_[0, 2e-4 * odds[1:]]

    found = minimize(loss, np.zeros(1 + len(scale)), jac=True, method="L-BFGS-B",
                     options={"maxiter": 3000}).x
    return np.r_[found[0], found[1:] / scale]


def right(rows, odds):
    meant, of_beat, of_player, signs = (np.array(column) for column in rows)
    share = 1 / (1 + np.exp(-odds[0] - signs @ odds[1:]))[:, None]
    return (share * of_player + (1 - share) * of_beat).argmax(1) == meant


def costs_by_beat(solos):
    cases = []
    for solo in solos:
        division, beat = solo[2], solo[4]
        for onsets, _, notes, home, *_ in beats(solo, None, None, Habit()):
            parts = division[notes]
            if len(onsets) <= MAX_NOTES and (parts == parts[0]).all() and parts[0] in BY_BEAT \
                    and (beat[notes] == home).all():
                cases.append((list(by_beat(onsets)), [n == parts[0] for n in BY_BEAT]))
    return fit(cases, len(BY_BEAT), 1e-9)


def costs_by_player(solos):
    cases = []
    for solo in solos:
        meant, beat, starts = solo[3:]
        for onsets, _, notes, home, ways, *_ in beats(solo, None, STEADY, Habit()):
            if len(onsets) > MAX_NOTES or not starts[notes].any() or (beat[notes] != home).any():
                continue
            good = [bool(way) and (kinds(way[0], parts) == meant[notes]).all()
                    for way, parts in zip(ways, BY_PLAYER)]
            if any(good):
                cases.append((ways, good))
    return fit(cases, len(BY_PLAYER), 1e-5)


def main(labelled, invented):
    sets = [list(solos(folder)) for folder in (labelled, invented)]
    costs, player = costs_by_beat(sets[0]), costs_by_player(sets[1])
    print("by the beat", costs.round(2).tolist())
    print("by the player", player.round(3).tolist())
    odds = None
    for _ in range(3):
        parts = [list(starts_of(of, costs, player, odds, whole))
                 for of in sets for whole in (False, True)]
        every = [np.array(column) for column in zip(*(row for part in parts for row in part))]
        part = np.repeat(range(4), [len(rows) for rows in parts])
        weights = np.array(WEIGHTS).ravel()[part]
        odds = fit_odds(every[1:], weights)
        print("odds", dict(zip(["constant"] + SIGNS, odds.round(4).tolist())))
    hits = np.zeros(len(part), bool)
    for fold in range(FOLDS):
        out = every[0] % FOLDS == fold
        trained = fit_odds([column[~out] for column in every[1:]], weights[~out])
        hits[out] = right([column[out] for column in every[1:]], trained)
    for number, name in enumerate(["labelled, settled", "labelled, after the take",
                                   "invented, settled", "invented, after the take"]):
        print(f"{name}: {hits[part == number].mean():.4f} held out")


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:]))
