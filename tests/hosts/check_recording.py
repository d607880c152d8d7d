"""Ardour records live MIDI: one track plays the invented take into the input of another, which is armed
and has the plugin on it. The phrases in the saved state are those of the take as a file, and Ardour's own
recording has the same notes.
"""

import ardour
import mido
from common import (
    METRES,
    SCRATCH,
    TEMPI,
    Differs,
    NotHere,
    chunk_of,
    finish,
    notes,
    review_of_file,
    reviews_of_state,
    same_phrases,
    write_take,
)

# The take is over by then: 22 beats at 132 and 16 at 160 a minute.
LAST_SECOND = 18
# Ardour takes the latency of its driver off what it records. All notes move by the same, in seconds, and
# by no more than some blocks; beside that they are off by a tick of its files and a sample.
MAX_MOVED, NEAR = 0.02, 0.0005


def recorded() -> list[tuple[float, int]]:
    """Beat and key of each note in the file that Ardour recorded."""
    folder = ardour.SESSION / "interchange" / ardour.NAME / "midifiles"
    files = [path for path in folder.glob("*.mid") if path.name != "take.mid"]
    found = []
    for path in files:
        file = mido.MidiFile(path)
        tick = 0
        for message in mido.merge_tracks(file.tracks):
            tick += message.time
            if message.type == "note_on" and message.velocity:
                found.append((tick / file.ticks_per_beat, message.note))
    return found


def tempo_at(beat: float) -> float:
    """Quarters a minute."""
    return [tempo for start, tempo in TEMPI if start <= beat][-1]


def check() -> str:
    why = ardour.is_missing()
    if why:
        raise NotHere(why)
    take = SCRATCH / "take.mid"
    write_take(take, TEMPI, METRES)
    expected = review_of_file(take)
    environment = ardour.home()
    ardour.make(environment, "player", "solo")
    ardour.write(ardour.add_the_take())
    ardour.run("record_session.lua", environment, LAST_SECOND)
    reviews = reviews_of_state(chunk_of(ardour.FILE), "recorded")
    if [one["notes"] for one in reviews] != [expected["notes"]]:
        raise Differs(f"takes of {[one['notes'] for one in reviews]} notes, not one of {expected['notes']}")
    same_phrases(reviews[0], expected, "recorded")
    written, played = recorded(), [(on, key) for on, _, key in notes()]
    if [key for _, key in written] != [key for _, key in played]:
        raise Differs(f"Ardour recorded {written}, and what was played is {played}")
    moved = [
        (on - beat) * 60 / tempo_at(on) for (beat, _), (on, _) in zip(written, played, strict=True)
    ]
    if max(moved) - min(moved) > NEAR or max(map(abs, moved)) > MAX_MOVED:
        raise Differs(f"Ardour recorded notes moved by {moved} s")
    return f"{len(expected['phrases'])} phrases of {len(played)} notes as they were recorded"


finish("check_recording", check)
