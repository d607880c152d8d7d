"""Ardour plays a recording of the invented take on an audio track with Overbar Listen on it. The phrases in the
saved state are those that `review` hears in the same file, over the same tempo map.

Each note is three harmonics that die away, as a string does.
"""

import json
import math
from array import array

import ardour
from common import (
    EXECUTABLE,
    METRES,
    SCRATCH,
    TEMPI,
    Differs,
    NotHere,
    chunk_of,
    finish,
    notes,
    output,
    reviews_of_state,
    same_phrases,
    write_wav,
    write_take,
)

RATE = 48_000
# The take is over by then: 22 beats at 132 and 16 at 160 a minute.
LAST_SECOND = 18
HARMONICS = [(1, 0.2), (2, 0.1), (3, 0.05)]
ATTACK, RELEASE, DECAY = 0.004, 0.01, 0.4


def second_of(beat: float) -> float:
    change = TEMPI[1][0]
    before, after = min(beat, change), max(beat - change, 0)
    return before * 60 / TEMPI[0][1] + after * 60 / TEMPI[1][1]


def write_recording(path) -> int:
    """The take as a mono WAV file of 16 bits; how many samples it has."""
    samples = array("d", bytes(8 * LAST_SECOND * RATE))
    for on, off, key in notes():
        begin, end = (round(second_of(beat) * RATE) for beat in (on, off))
        hertz = 440 * 2 ** ((key - 69) / 12)
        for at in range(begin, end):
            now = (at - begin) / RATE
            shape = min(now / ATTACK, (end - at) / RATE / RELEASE, 1) * math.exp(-now / DECAY)
            wave_now = sum(a * math.sin(math.tau * n * hertz * now) for n, a in HARMONICS)
            samples[at] += shape * wave_now
    write_wav(path, samples, RATE)
    return len(samples)


def check() -> str:
    why = ardour.is_missing()
    if why:
        raise NotHere(why)
    take, sound = SCRATCH / "take.mid", SCRATCH / "take.wav"
    write_take(take, TEMPI, METRES)
    length = write_recording(sound)
    expected = json.loads(output(EXECUTABLE, "review", "--json", sound, "--tempo-map", take))
    if len(expected["phrases"]) != 6 or expected["notes"] != len(notes()):
        raise Differs(f"review hears {expected['notes']} notes in {len(expected['phrases'])} phrases")
    environment = ardour.home()
    ardour.make(environment, "solo", plugin="Overbar Listen")
    ardour.write(ardour.add_the_sound(sound, length))
    ardour.run("play_session.lua", environment, LAST_SECOND, 0)
    reviews = reviews_of_state(chunk_of(ardour.FILE), "listened")
    # The host has been running for a while when the song begins: sound is looked at every 5 ms, and a note
    # that ends between two looks may be followed by one too short to count.
    lines = [one["roles"]["main"] for one in reviews]
    if lines != [expected["roles"]["main"]]:
        raise Differs(f"takes of {lines} notes, not one of {expected['notes']}")
    same_phrases(reviews[0], expected, "listened", ("notes",))
    return f"{len(expected['phrases'])} phrases of {expected['notes']} notes heard on an audio track"


finish("check_listening", check)
