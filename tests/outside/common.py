"""What the outside checks share: running the commands, reading notes with mido, telling the end.

Units: ticks are a file's own; seconds run from its start. Notes lie in order of onset and, at
equal onsets, of pitch, as the review counts them.
"""

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

import mido

XTASK, OVERBAR, SCRATCH, SOLOS = sys.argv[1], sys.argv[2], Path(sys.argv[3]), Path(sys.argv[4])

# The report gives places and lengths to three decimals.
ROUNDING = 0.0005 + 1e-9


class Differs(Exception):
    """A number of the review is not the library's."""


@dataclass
class Note:
    """A note, in ticks and in seconds."""

    tick: int
    key: int
    on: float
    end_tick: int | None = None
    off: float | None = None


def xtask(*arguments) -> str:
    """What a developers' command writes. It must end well and without a complaint."""
    return output_of(XTASK, *arguments)


def overbar(*arguments) -> str:
    """What a users' command writes. It must end well and without a complaint."""
    return output_of(OVERBAR, *arguments)


def output_of(*command) -> str:
    command = [str(word) for word in command]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise Differs(f"{' '.join(command)}: exit code {done.returncode}, {done.stderr.strip()}")
    return done.stdout


def reviews(folder: Path, melody: str = "auto") -> dict[str, dict]:
    """The reviews of a folder's files, by the files' names. With "all" for the melody every note
    counts as it came; else ornaments, glitches and what lies under a line are heard as such."""
    lines = overbar("review", folder, "--json", "--line", melody).splitlines()
    return {Path(review["file"]).name: review for review in map(json.loads, lines)}


def notes_of(path: Path) -> list[Note]:
    """A file's notes as mido reads them: its own walk through tempo changes gives the seconds."""
    file = mido.MidiFile(path)
    ticks = 0
    seconds = 0.0
    notes: list[Note] = []
    sounding: dict[tuple[int, int], Note] = {}
    # Iterating over the file gives seconds, over the merged tracks ticks, of the same messages.
    for message, in_ticks in zip(file, file.merged_track, strict=True):
        seconds += message.time
        ticks += in_ticks.time
        if message.type not in ("note_on", "note_off"):
            continue
        place = (message.channel, message.note)
        if place in sounding:
            ended = sounding.pop(place)
            ended.end_tick, ended.off = ticks, seconds
        if message.type == "note_on" and message.velocity > 0:
            note = Note(ticks, message.note, seconds)
            sounding[place] = note
            notes.append(note)
    return sorted(notes, key=lambda note: (note.tick, note.key))


def near(got: float, expected: float, within: float, what: str) -> None:
    if got is None or abs(got - expected) > within:
        raise Differs(f"{what}: {got}, not {expected}")


def equal(got, expected, what: str) -> None:
    if got != expected:
        raise Differs(f"{what}: {got}, not {expected}")


def end(name: str, check) -> NoReturn:
    """Runs a check, which returns its line, and ends the program as run.py expects it."""
    try:
        print(f"{name}: {check()}")
    except Differs as what:
        print(f"{name}: DIFFERS: {what}")
        sys.exit(1)
    sys.exit(0)


def skipped_part(what: str) -> str:
    """Notes a part of a check that was skipped, and gives it as the check's line may say it."""
    with (SCRATCH.parent.parent / "skipped.txt").open("a") as file:
        file.write(f"outside check {what}\n")
    return f"SKIPPED {what}"


def skip(name: str, why: str) -> NoReturn:
    print(f"SKIPPED {name}: {why}")
    sys.exit(77)
