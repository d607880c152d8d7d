"""Bars and beats against music21.

Compares the bar (exactly) and the felt beat (within 0.002) of phrase entries and exits, as
`review --json` gives them, with `measureNumber` and `beat` of the same notes in music21's own
reading of the file, without quantising. The files are invented: all eleven metres, metre changes
at bar lines, tempo changes anywhere, types 0 and 1, several resolutions, notes on the usual
subdivisions and at any tick, some as close as ornaments, so that every note counts as it came.
Notes a little ahead of a bar line belong, by this project's own convention, to beat one of the bar
to come: for them music21 gives that bar line. Source: music21 (Cuthbert and Ariza 2010) with
`TimeSignature.beat` for the felt beat.
"""

import random
import warnings

import mido
import music21

from common import SCRATCH, Differs, end, equal, near, notes_of, reviews
from invent import METRES, File, tempo_changes

SLOWEST, FASTEST = 60, 220
BURSTS = 25


def layout(rng: random.Random, metres: list, resolution: int):
    """Bar lines: (tick, length in ticks, felt beat in ticks), and where metres change."""
    bars, changes, tick = [], [], 0
    for metre in metres:
        changes.append((tick, metre))
        quarters, pulse = METRES[metre]
        for _ in range(400 if len(metres) == 1 else rng.randint(3, 12)):
            bars.append((tick, round(quarters * resolution), round(pulse * resolution)))
            tick += bars[-1][1]
    return bars, changes


def place(rng: random.Random, bar, resolution: int) -> int:
    """A tick in the bar: on a subdivision or anywhere, but not so late that it may be meant for
    the next bar line."""
    start, length, pulse = bar
    if rng.random() < 0.5:
        parts = rng.choice([p for p in (1, 2, 3, 4, 6) if pulse % p == 0])
        inside = rng.randrange(length * parts // pulse) * pulse // parts
    else:
        inside = rng.randrange(length)
    return start + min(inside, length - pulse * 2 // 5)


def invent(name: str, metres: list, kind: int, resolution: int, seed: int) -> list[int]:
    """Writes a file. Gives the bar lines that early notes are meant for, 0 for other notes."""
    rng = random.Random(seed)
    file = File(kind, resolution)
    bars, changes = layout(rng, metres, resolution)
    for tick, metre in changes:
        file.metre(tick, metre)
    tempo_changes(rng, file, bars[-1][0], SLOWEST, FASTEST)
    rest = round(1.3 * FASTEST / 60 * resolution)
    anticipated = []
    free = 0
    for index, bar in enumerate(bars[:-1]):
        if len(anticipated) >= 3 * BURSTS:
            break
        start = place(rng, bar, resolution)
        meant = 0
        if rng.random() < 0.15:
            # At most 25 ms at the slowest tempo: earlier than that is a matter of reading.
            meant = bars[index + 1][0]
            start = meant - rng.randint(1, max(1, round(0.025 * SLOWEST / 60 * resolution)))
        # music21 takes notes less than a sixteenth of a quarter apart for a chord.
        step = resolution // 12
        if start < free:
            continue
        where = bars[index + 1] if meant else bar
        last = max(start + 2 * step, place(rng, where, resolution))
        last = min(last, start + resolution // 2)
        if last > where[0] + where[1] - where[2] * 2 // 5:
            continue
        file.burst([start, start + step, last], last + step, rng.randint(50, 80))
        anticipated += [meant, 0, 0]
        free = last + step + rest
    file.write(SCRATCH / name)
    return anticipated


def read_by_music21(name: str, meant: list[int]) -> list[tuple[int, float]]:
    """Bar and beat of every note, and of the bar lines that early notes are meant for."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = music21.converter.parse(SCRATCH / name, quantizePost=False, forceSource=True)
    heads = [
        note
        for note in score.recurse().notes
        if note.tie is None or note.tie.type == "start"
    ]
    heads.sort(key=lambda note: note.getOffsetInHierarchy(score))
    equal(len(heads), len(meant), f"{name}: notes in music21")
    measures = {
        round(measure.getOffsetInHierarchy(score) * resolution_of(name)): measure.number
        for measure in score.recurse().getElementsByClass(music21.stream.Measure)
    }
    return [
        (measures[line], 1.0) if line else (note.measureNumber, float(note.beat))
        for note, line in zip(heads, meant, strict=True)
    ]


def resolution_of(name: str) -> int:
    return mido.MidiFile(SCRATCH / name).ticks_per_beat


def check() -> str:
    files = {}
    resolutions = [96, 480, 960]
    for seed, metre in enumerate(METRES):
        for turn, resolution in enumerate(resolutions):
            name = f"{metre[0]}-{metre[1]}-at-{resolution}.mid"
            files[name] = invent(name, [metre], (seed + turn) % 2, resolution, 100 * seed + turn)
    for seed in range(8):
        metres = random.Random(seed).choices(list(METRES), k=12)
        name = f"changes-{seed}.mid"
        files[name] = invent(name, metres, seed % 2, [120, 384, 1024][seed % 3], 5000 + seed)

    reviewed = reviews(SCRATCH, melody="all")
    compared = early = 0
    for name, meant in files.items():
        expected = read_by_music21(name, meant)
        review = reviewed[name]
        equal(len(notes_of(SCRATCH / name)), review["notes"], f"{name}: notes")
        equal(len(review["phrases"]), len(meant) // 3, f"{name}: phrases")
        for phrase in review["phrases"]:
            for end_of, index in (("entry", "first_note"), ("exit", "last_note")):
                got = phrase[end_of]
                bar, beat = expected[phrase[index]]
                what = f"{name}: note {phrase[index]}"
                equal(got["bar"], bar, f"{what}: bar")
                near(got["beat"], beat, 0.002, f"{what}: beat")
                compared += 1
                early += meant[phrase[index]] > 0
    if compared < 2_000 or early < 100:
        raise Differs(f"only {compared} notes, {early} of them early")
    return (
        f"{compared:,} notes in {len(files)} files, {early} of them ahead of a bar line, "
        f"agree with music21 {music21.__version__}"
    )


end("beats", check)
