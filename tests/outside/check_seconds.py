"""Seconds and quarters through tempo changes against mido.

Compares the length of every phrase and of the rest before it, in seconds and in quarters, with
mido's: its iteration over the file, which walks through tempo changes, for seconds, its
`tick2second` summed over the tempo messages for seconds once more, and ticks over
`ticks_per_beat` for quarters. The files are invented: tempo changes inside phrases and rests,
types 0 and 1, several resolutions. Source: mido's reading of Standard MIDI Files (RP-001).
"""

import random

import mido

from common import ROUNDING, SCRATCH, Differs, Note, end, near, notes_of, reviews
from invent import File, tempo_changes

FILES = 24
PHRASES = 30


def invent(name: str, seed: int) -> None:
    rng = random.Random(seed)
    resolution = rng.choice([24, 96, 220, 480, 960, 15_360])
    file = File(seed % 2, resolution)
    tick = rng.randrange(resolution)
    for _ in range(PHRASES):
        ticks = [tick]
        for _ in range(rng.randint(1, 9)):
            ticks.append(ticks[-1] + rng.randint(max(1, resolution // 8), resolution // 2))
        stop = ticks[-1] + rng.randint(1, resolution)
        file.burst(ticks, stop, rng.randint(40, 80))
        tick = stop + rng.randint(4 * resolution, 8 * resolution)
    tempo_changes(rng, file, tick, 30, 280)
    for _ in range(40):
        file.tempo(rng.randrange(1, tick), rng.uniform(30, 280))
    file.write(SCRATCH / name)


def summed(path, ticks: list[int]) -> list[float]:
    """Seconds of these ticks, in order, by `tick2second` from tempo to tempo."""
    file = mido.MidiFile(path)
    at, tempo, seconds, tempos = 0, 500_000, 0.0, []
    for message in file.merged_track:
        at += message.time
        if message.type == "set_tempo":
            tempos.append((at, message.tempo))
    found, at, waiting = [], 0, iter(tempos + [(1 << 60, 0)])
    change, following = next(waiting)
    for tick in ticks:
        while change <= tick:
            seconds += mido.tick2second(change - at, file.ticks_per_beat, tempo)
            at, tempo = change, following
            change, following = next(waiting)
        seconds += mido.tick2second(tick - at, file.ticks_per_beat, tempo)
        at = tick
        found.append(seconds)
    return found


def check() -> str:
    names = [f"tempo-{seed:02}.mid" for seed in range(FILES)]
    for seed, name in enumerate(names):
        invent(name, seed)
    reviewed = reviews(SCRATCH, melody="all")
    lengths = 0
    for name in names:
        path = SCRATCH / name
        notes = notes_of(path)
        quarter = mido.MidiFile(path).ticks_per_beat
        by_sum = summed(path, [note.tick for note in notes])
        for note, seconds in zip(notes, by_sum, strict=True):
            near(note.on, seconds, 1e-6, f"{name}: mido against itself at tick {note.tick}")
        before: Note | None = None
        for phrase in reviewed[name]["phrases"]:
            first, last = notes[phrase["first_note"]], notes[phrase["last_note"]]
            what = f"{name}: phrase from note {phrase['first_note']}"
            near(phrase["seconds"], last.off - first.on, ROUNDING, f"{what}: seconds")
            quarters = (last.end_tick - first.tick) / quarter
            near(phrase["beats"], quarters, ROUNDING, f"{what}: quarters")
            lengths += 2
            if before is not None:
                rest = first.on - before.off
                near(phrase["rest_before_seconds"], rest, ROUNDING, f"{what}: rest")
                rest = (first.tick - before.end_tick) / quarter
                near(phrase["rest_before_beats"], rest, ROUNDING, f"{what}: rest in quarters")
                lengths += 2
            before = last
    if lengths < 1_500:
        raise Differs(f"only {lengths} lengths")
    return f"{lengths:,} lengths and rests in {FILES} files agree with mido {mido.version_info}"


end("seconds", check)
