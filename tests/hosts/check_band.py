"""Two tracks in Ardour: Overbar Listen hears the band on one, which strays from the session's tempo, and Overbar on
the other goes by its beat. The phrases in the saved state are those of the same two files on the command line.
"""

import json
import math
import random
from array import array

import ardour
import mido
from common import (
    EXECUTABLE,
    SCRATCH,
    TICKS,
    Differs,
    NotHere,
    chunks_of,
    finish,
    output,
    reviews_of_state,
    same_phrases,
    write_wav,
)

RATE = 48_000
# The session's tempo, at which the band begins; it slows down by a sixth.
TEMPO = 126.0
BEATS = 56
# Beats that phrases of nine eighths start on.
STARTS = [8.5, 16.0, 29.5, 38.0]
# The plugin listened for a block before the song began: a beat is reported to within a frame of 20 ms.
NEAR_A_FRAME = 0.04
# Strokes: pitch in Hz, share of noise, seconds in which it dies away, loudness.
CYMBAL, HIGH_HAT, BASS_DRUM = (0, 1, 0.04, 0.15), (0, 1, 0.02, 0.2), (55, 0, 0.08, 0.35)
BASS = [65.4, 73.4, 82.4, 87.3, 98.0, 87.3, 82.4, 73.4]


def second_of(beat: float) -> float:
    return beat * 60 / TEMPO * (1 + 0.0015 * beat)


def strokes(beat: int) -> list[tuple[float, tuple]]:
    """What is played on a beat, and when."""
    always = [(beat, CYMBAL), (beat, (BASS[beat % 8], 0, 0.25, 0.25))]
    if beat % 4 == 0:
        return [*always, (beat, BASS_DRUM)]
    if beat % 4 == 2:
        return always
    return [*always, (beat, HIGH_HAT), (beat + 0.66, CYMBAL)]


def write_band(path) -> int:
    """The band as a mono WAV file of 16 bits; how many samples it has."""
    noise = random.Random(7)
    samples = array("d", bytes(8 * round((second_of(BEATS) + 1) * RATE)))
    for beat in range(BEATS):
        for place, (hertz, noisy, decay, loud) in strokes(beat):
            begin = round(second_of(place) * RATE)
            for at in range(round(6 * decay * RATE)):
                now = at / RATE
                tone = math.sin(math.tau * hertz * now) * (1 - noisy) + noise.uniform(-1, 1) * noisy
                samples[begin + at] += loud * math.exp(-now / decay) * tone
    write_wav(path, samples, RATE)
    return len(samples)


def write_solo(path) -> None:
    """The phrases as they were played to the band, in a MIDI file at the session's tempo."""
    events = []
    for start in STARTS:
        for eighth in range(9):
            key = 60 + (round(start) + eighth * 5) % 12
            for beat, kind in ((start + eighth / 2, "note_on"), (start + eighth / 2 + 0.4, "note_off")):
                tick = round(second_of(beat) * TEMPO / 60 * TICKS)
                events.append((tick, mido.Message(kind, note=key, velocity=90)))
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(TEMPO))])
    at = 0
    for tick, message in sorted(events, key=lambda event: (event[0], event[1].type == "note_on")):
        track.append(message.copy(time=tick - at))
        at = tick
    path.parent.mkdir(parents=True, exist_ok=True)
    mido.MidiFile(ticks_per_beat=TICKS, tracks=[track]).save(path)


def check() -> str:
    why = ardour.is_missing()
    if why:
        raise NotHere(why)
    band, solo = SCRATCH / "band.wav", SCRATCH / "solo.mid"
    length = write_band(band)
    write_solo(solo)
    start = ["--band", band, "--band-start", f"{TEMPO:.0f}@0"]
    expected = json.loads(output(EXECUTABLE, "review", "--json", solo, *start))
    by_host = json.loads(output(EXECUTABLE, "review", "--json", solo))
    classes = [phrase["entry"]["class"] for phrase in expected["phrases"]]
    if len(classes) != len(STARTS) or classes == [one["entry"]["class"] for one in by_host["phrases"]]:
        raise Differs(f"review hears starts {classes}, which the session's tempo gives, too")
    environment = ardour.home()
    ardour.make_by("make_band_session.lua", environment, TEMPO)
    write_solo(ardour.midi_file())
    root = ardour.session()
    ardour.add_sound(root, band, length)
    ardour.add_midi(root, second_of(BEATS) * TEMPO / 60)
    ardour.write(root)
    # The band stops later than the soloist, and what was told is then worked out anew.
    ardour.run("play_session.lua", environment, math.ceil(second_of(BEATS - 4)), 0)
    found = [reviews_of_state(chunk, f"track {number}") for number, chunk in enumerate(chunks_of(ardour.FILE))]
    takes = [reviews[0] for reviews in found if reviews]
    if len(takes) != 1:
        raise Differs(f"takes of {[one['notes'] for one in takes]} notes, not one")
    if takes[0]["grid"]["source"] != "band":
        raise Differs(f"the take goes by {takes[0].get('grid')}, not by the band")
    same_phrases(takes[0], expected, "to the band", near=NEAR_A_FRAME)
    return f"{len(classes)} phrases on the beat of a band on another track, as in the files"


finish("check_band", check)
