"""Recordings in every format that is read, as libsndfile writes them.

An invented take of tones is written as WAV, FLAC, AIFF, Ogg Vorbis and MP3 by soundfile, at several depths, rates
and numbers of channels. `overbar review` must hear the written notes: their keys, and their starts within 20 ms;
phrases must start where they do in the take as MIDI, which mido writes. A FLAC file whose bytes are spoilt at
the start, or further on, is heard where it is whole, at the same times, and what is wrong is said.
"""

import json
from pathlib import Path

import mido
import numpy
import soundfile

from common import SCRATCH, Differs, end, equal, overbar

BEAT = 0.5
FIRST = 0.5
NEAR = 0.02
# Beats from bar 1, and keys.
NOTES = [(0.5, 60), (1, 62), (1.5, 64), (2, 65), (2.5, 67), (4.5, 69), (5, 67), (5.5, 65), (6, 64), (8.5, 60),
         (9, 64), (9.5, 67), (12, 72), (12.5, 71), (13, 69), (16.5, 67), (17, 65), (17.5, 64), (18, 62)]
# Ending, how soundfile calls it, rate and channels.
FILES = [("wav", "WAV", "PCM_16", 44100, 1), ("wav", "WAV", "PCM_24", 48000, 2), ("wav", "WAV", "FLOAT", 96000, 1),
         ("flac", "FLAC", "PCM_16", 44100, 2), ("flac", "FLAC", "PCM_24", 48000, 1), ("aiff", "AIFF", "PCM_16", 48000, 2),
         ("ogg", "OGG", "VORBIS", 44100, 2), ("mp3", "MP3", "MPEG_LAYER_III", 44100, 1)]


def sound(rate: int) -> numpy.ndarray:
    """Tones of eight partials, a little shorter than an eighth."""
    length, last = 0.45 * BEAT, max(beat for beat, _ in NOTES)
    samples = numpy.zeros(int((FIRST + last * BEAT + 1.5) * rate))
    at = numpy.arange(int(length * rate)) / rate
    swell = numpy.minimum(at / 0.005, 1) * numpy.minimum((length - at) / 0.02, 1)
    for beat, key in NOTES:
        hertz = 440 * 2 ** ((key - 69) / 12)
        tone = sum(numpy.sin(2 * numpy.pi * hertz * part * at) / part for part in range(1, 9))
        start = int((FIRST + beat * BEAT) * rate)
        samples[start:start + len(at)] += 0.3 * swell * tone
    return samples


def midi() -> Path:
    track, waited = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=500_000)]), 0
    for beat, key in NOTES:
        on, off = round(beat * 480), round((beat + 0.45) * 480)
        track.append(mido.Message("note_on", note=key, velocity=80, time=on - waited))
        track.append(mido.Message("note_off", note=key, time=off - on))
        waited = off
    file = mido.MidiFile(ticks_per_beat=480)
    file.tracks.append(track)
    file.save(SCRATCH / "take.mid")
    return SCRATCH / "take.mid"


def review(path: Path, *options) -> dict:
    return json.loads(overbar("review", path, "--json", *options))


def heard(path: Path) -> dict:
    return review(path, "--bpm", 120, "--first-beat", FIRST)


def phrases(found: dict) -> list[tuple]:
    """Bar, beat to the nearest eighth, and class of each start and end."""
    ends = [phrase[end] for phrase in found["phrases"] for end in ("entry", "exit")]
    return [(place["bar"], round(place["beat"] * 2) / 2, place["class"]) for place in ends]


def times(found: dict) -> list[tuple[int, float]]:
    return [(note["key"], note["onset"]) for note in found["recording"]["heard_notes"]]


def wrong(found: list[tuple[int, float]]) -> list[tuple[int, float]]:
    """The heard notes that start where none of that key is written."""
    starts = [(key, FIRST + beat * BEAT) for beat, key in NOTES]
    return [(key, at) for key, at in found if not any(key == other and abs(at - on) <= NEAR for other, on in starts)]


def every_format(expected: list[tuple]) -> None:
    for ending, form, depth, rate, channels in FILES:
        path = SCRATCH / f"{depth} {rate} {channels}.{ending}"
        samples = sound(rate)
        frames = samples if channels == 1 else numpy.column_stack([samples] * channels)
        soundfile.write(path, frames, rate, format=form, subtype=depth)
        found = heard(path)
        equal(found["source"], "audio", f"{path.name}: source")
        equal(found["recording"]["remarks"], [], f"{path.name}: remarks")
        equal([key for key, _ in times(found)], [key for _, key in NOTES], f"{path.name}: keys")
        equal(wrong(times(found)), [], f"{path.name}: starts")
        equal(phrases(found), expected, f"{path.name}: phrases")


def damaged() -> None:
    """Frames of FLAC are some thousand samples long, so that a spoilt one costs a tenth of a second."""
    whole = SCRATCH / "whole.flac"
    soundfile.write(whole, sound(44100), 44100, format="FLAC", subtype="PCM_16")
    content = whole.read_bytes()
    # The first frame begins with the synchronisation code (RFC 9639).
    first = content.index(b"\xff\xf8", 42)
    for name, at in (("start", first + 40), ("middle", first + (len(content) - first) // 2)):
        spoilt = bytearray(content)
        spoilt[at:at + 64] = bytes(64)
        path = SCRATCH / f"spoilt at the {name}.flac"
        path.write_bytes(spoilt)
        found = heard(path)
        if not found["recording"]["remarks"]:
            raise Differs(f"{path.name}: nothing is said of the damage")
        # Of a note whose attack is lost the rest is heard.
        late = wrong(times(found))
        if len(late) > 1 or len(times(found)) < len(NOTES) - 1:
            raise Differs(f"{path.name}: {len(times(found))} of {len(NOTES)} notes heard, {late} not in time")


def check() -> str:
    expected = phrases(review(midi()))
    every_format(expected)
    damaged()
    return f"{len(FILES)} files of {len(NOTES)} notes as written, and around what is spoilt"


end("recordings", check)
