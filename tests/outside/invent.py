"""Invents MIDI files for the checks, with mido. Everything is seeded.

A file is a list of events by absolute tick. Solos are bursts of three notes, legato, parted by
rests that are long enough at the fastest tempo of the file: so each burst is a phrase, and the
intervals inside bursts keep the median interval short.
"""

import random
from pathlib import Path

import mido

# Metre: quarters in a bar and quarters in a felt beat, by definition of the metres.
METRES = {
    (4, 4): (4.0, 1.0),
    (3, 4): (3.0, 1.0),
    (2, 4): (2.0, 1.0),
    (2, 2): (4.0, 2.0),
    (6, 8): (3.0, 1.5),
    (9, 8): (4.5, 1.5),
    (12, 8): (6.0, 1.5),
    (5, 4): (5.0, 1.0),
    (7, 4): (7.0, 1.0),
    (5, 8): (2.5, 0.5),
    (7, 8): (3.5, 0.5),
}


class File:
    """A file to be written."""

    def __init__(self, kind: int, resolution: int):
        self.kind = kind
        self.resolution = resolution
        self.changes: list[tuple[int, mido.MetaMessage]] = []
        self.notes: list[tuple[int, int, mido.Message]] = []

    def tempo(self, tick: int, quarters_a_minute: float) -> None:
        tempo = mido.bpm2tempo(quarters_a_minute)
        self.changes.append((tick, mido.MetaMessage("set_tempo", tempo=tempo)))

    def metre(self, tick: int, metre: tuple[int, int]) -> None:
        upper, lower = metre
        message = mido.MetaMessage("time_signature", numerator=upper, denominator=lower)
        self.changes.append((tick, message))

    def note(self, key: int, tick: int, end: int) -> None:
        # At one tick, ends come before attacks.
        self.notes.append((tick, 1, mido.Message("note_on", note=key, velocity=80)))
        self.notes.append((end, 0, mido.Message("note_off", note=key)))

    def burst(self, ticks: list[int], end: int, key: int) -> None:
        """Notes from each tick to the next, the last one to `end`."""
        for index, (tick, until) in enumerate(zip(ticks, [*ticks[1:], end], strict=True)):
            self.note(key + index, tick, until)

    def write(self, path: Path) -> None:
        changes = [(tick, 0, message) for tick, message in self.changes]
        notes = [(tick, 1 + rank, message) for tick, rank, message in self.notes]
        tracks = [changes + notes] if self.kind == 0 else [changes, notes]
        file = mido.MidiFile(type=self.kind, ticks_per_beat=self.resolution)
        for events in tracks:
            track = mido.MidiTrack()
            at = 0
            for tick, _, message in sorted(events, key=lambda event: event[:2]):
                track.append(message.copy(time=tick - at))
                at = tick
            file.tracks.append(track)
        file.save(path)


def tempo_changes(rng: random.Random, file: File, last_tick: int, slowest: int, fastest: int):
    """A tempo at the start and a few at any tick."""
    ticks = [0, *sorted(rng.sample(range(1, last_tick), 5))]
    for tick in ticks:
        file.tempo(tick, rng.uniform(slowest, fastest))
