"""What the checks in real hosts share: the invented take, and reading what the plugin heard.

Beats are quarter notes from the song's start.
"""

import base64
import json
import re
import subprocess
import sys
import wave
from array import array
from pathlib import Path

import mido

HERE = Path(__file__).resolve().parent
EXECUTABLE, STATE_REVIEW, VST3, SCRATCH = sys.argv[1], sys.argv[2], Path(sys.argv[3]), Path(sys.argv[4])

TICKS = 480
TEMPI = [(0, 132.0), (22, 160.0)]
METRES = [(0, 4, 4), (16, 3, 4)]
# Eighths of six phrases, which begin on the "and" of 1, on 3, on 1 and on the "and" of 3.
EIGHTHS = [*range(1, 8), *range(12, 19), *range(24, 31), *range(35, 44), *range(50, 57), *range(62, 72)]
END = 38.0

# A host rounds notes to its samples, and its positions jitter by 0.0002 beats; the review gives
# three decimals.
NEAR = 0.004


SKIPPED = 77


class Differs(Exception):
    """The plugin heard something else than was played."""


class NotHere(Exception):
    """The host cannot be started or kept up on this machine, through no fault of the plugin."""


def notes() -> list[tuple[float, float, int]]:
    """Beginning, end and key."""
    return [(n / 2, n / 2 + 0.42, 60 + i * 5 % 12) for i, n in enumerate(EIGHTHS)]


def write_take(path: Path, tempi: list, metres: list) -> None:
    """The take as a MIDI file, over these tempi and metres."""
    events = []
    for beat, tempo in tempi:
        message = mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(tempo))
        events.append((beat * TICKS, 0, message))
    for beat, upper, lower in metres:
        message = mido.MetaMessage("time_signature", numerator=upper, denominator=lower)
        events.append((beat * TICKS, 0, message))
    for on, off, key in notes():
        events.append((round(on * TICKS), 2, mido.Message("note_on", note=key, velocity=90)))
        events.append((round(off * TICKS), 1, mido.Message("note_off", note=key, velocity=0)))
    file = mido.MidiFile(ticks_per_beat=TICKS)
    track = mido.MidiTrack()
    file.tracks.append(track)
    at = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - at))
        at = tick
    file.save(path)


def write_wav(path: Path, samples: array, rate: int) -> None:
    """Samples from -1 to 1 as a mono WAV file of 16 bits."""
    whole = array("h", (round(32_000 * max(-1, min(1, sample))) for sample in samples))
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(whole.tobytes())


def output(*command) -> str:
    done = subprocess.run([*map(str, command)], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise Differs(f"{command[0]}: exit code {done.returncode}: {done.stderr.strip()}")
    return done.stdout


def review_of_file(path: Path) -> dict:
    return json.loads(output(EXECUTABLE, "review", "--json", path))


def reviews_of_state(state: bytes, name: str) -> list[dict]:
    """A review of each take in a plugin's saved state."""
    path = SCRATCH / f"{name}.state"
    path.write_bytes(state)
    return [json.loads(line) for line in output(STATE_REVIEW, path).splitlines()]


# JUCE's own base 64: its digits, of which each four are three bytes, lowest bits first.
DIGITS = ".ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+"


def inside_juce(state: bytes) -> bytes:
    """What the plugin gave to a host that is built on JUCE, out of that host's XML."""
    found = re.search(rb"<IComponent>(\d+)\.([^<]*)</IComponent>", state)
    if found is None:
        raise Differs("the host's state holds none of the plugin's")
    text = found[2].decode()
    plain = bytearray()
    for at in range(0, len(text), 4):
        bits = sum(DIGITS.index(digit) << 6 * place for place, digit in enumerate(text[at : at + 4]))
        plain += bits.to_bytes(3, "little")
    return bytes(plain[: int(found[1])])


def chunks_of(session: Path) -> list[bytes]:
    """The state of each of our plugins in a session of Ardour's."""
    found = re.findall(r"<chunk>(.*?)</chunk>", session.read_text(), re.DOTALL)
    if not found:
        raise Differs(f"{session}: no state of a plugin")
    return [base64.b64decode(chunk) for chunk in found]


def chunk_of(session: Path) -> bytes:
    """The state of the only one."""
    return chunks_of(session)[0]


# What tells which notes a phrase has.
WHICH_NOTES = ("first_note", "last_note", "notes")


def same_phrases(
    heard: dict, expected: dict, what: str, fields: tuple = WHICH_NOTES, near: float = NEAR
) -> None:
    """Phrases have the same notes and places."""
    if len(heard["phrases"]) != len(expected["phrases"]):
        raise Differs(f"{what}: {len(heard['phrases'])} phrases, not {len(expected['phrases'])}")
    for number, (one, other) in enumerate(zip(heard["phrases"], expected["phrases"], strict=True), 1):
        for field in fields:
            if one[field] != other[field]:
                raise Differs(f"{what}, phrase {number}, {field}: {one[field]}, not {other[field]}")
        for end in ("entry", "exit"):
            for field in ("bar", "class"):
                if one[end][field] != other[end][field]:
                    raise Differs(f"{what}, phrase {number}, {end}: {one[end]}, not {other[end]}")
            if abs(one[end]["beat"] - other[end]["beat"]) > near:
                raise Differs(f"{what}, phrase {number}, {end}: {one[end]}, not {other[end]}")


def finish(name: str, check) -> None:
    try:
        print(f"{name}: {check()}")
    except NotHere as why:
        print(f"*** SKIPPED: {name}: {why} ***")
        # The bundles are in the folder that cargo builds into; `check` prints this file last.
        with (VST3.parents[1] / "skipped.txt").open("a") as file:
            file.write(f"in a real host, {name}: {why}\n")
        sys.exit(SKIPPED)
    except Differs as what:
        print(f"{name}: DIFFERS: {what}")
        sys.exit(1)
