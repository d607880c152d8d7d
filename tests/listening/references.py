"""Other note trackers on the recordings of the listening score, for a table beside ours.

    overbar-listening --font FluidR3_GM.sf2 --seed 5001 --invented 14 --keep FOLDER
    python references.py FOLDER

Needs `pip install "basic-pitch[onnx]" aubio librosa numpy`. They are references from outside and are not
shipped. basic-pitch (Bittner and others 2022) and aubio's notes are run as they come; pYIN (Mauch and Dixon
2014, in librosa) gives pitches alone, so its notes begin where librosa's onset detector finds an onset and end
with the voicing. Scored as ours: an onset within 50 ms, a note in the key as well; a sample that begins an
octave low may be heard there.
"""

import json
import sys
from collections import defaultdict
from pathlib import Path

import aubio
import librosa
import numpy as np

RATE = 48_000
NEAR = 0.05
CONDITIONS = ["clean", "expressive", "bleed -18 dB", "bleed -12 dB"]
# E2 to C7, what ours is held to.
LOWEST, HIGHEST = 82.0, 2_100.0


def by_aubio(sound: np.ndarray) -> list[tuple[float, int]]:
    hop = 256
    notes = aubio.notes("default", 2_048, hop, RATE)
    heard = []
    for start in range(0, len(sound) - hop, hop):
        note = notes(sound[start : start + hop])
        if note[0] != 0:
            heard.append((start / RATE, int(note[0])))
    return heard


def by_pyin(sound: np.ndarray) -> list[tuple[float, int]]:
    hop = 512
    pitch, voiced, _ = librosa.pyin(sound, fmin=LOWEST, fmax=HIGHEST, sr=RATE, hop_length=hop)
    onsets = librosa.onset.onset_detect(y=sound, sr=RATE, hop_length=hop, units="frames")
    heard = []
    for first, last in zip(onsets, [*onsets[1:], len(pitch)], strict=True):
        sung = pitch[first:last][voiced[first:last]]
        if len(sung) > 0:
            key = round(float(librosa.hz_to_midi(np.median(sung))))
            heard.append((first * hop / RATE, key))
    return heard


def by_basic_pitch(sound: np.ndarray, predict, model, scratch: Path) -> list[tuple[float, int]]:
    import soundfile

    soundfile.write(scratch, sound, RATE)
    _, _, notes = predict(scratch, model)
    return sorted((float(note[0]), int(note[2])) for note in notes)


def pairs(played: list[dict], heard: list[tuple[float, int]], with_key: bool) -> int:
    taken, found = set(), 0
    for note in played:
        for index, (on, key) in enumerate(heard):
            same = key == note["key"] or (note["low"] and key + 12 == note["key"])
            if index not in taken and abs(on - note["on"]) <= NEAR and (same or not with_key):
                taken.add(index)
                found += 1
                break
    return found


def main() -> None:
    folder = Path(sys.argv[1])
    from basic_pitch import FilenameSuffix, build_icassp_2022_model_path
    from basic_pitch.inference import Model, predict

    model = Model(build_icassp_2022_model_path(FilenameSuffix.onnx))
    scratch = folder / "references.wav"
    trackers = {
        "basic-pitch": lambda sound: by_basic_pitch(sound, predict, model, scratch),
        "aubio": by_aubio,
        "pYIN": by_pyin,
    }
    print("| | " + " | ".join(CONDITIONS) + " |\n|---|" + "---|" * len(CONDITIONS))
    totals = defaultdict(lambda: [0, 0, 0, 0])
    for condition in CONDITIONS:
        recordings = sorted(folder.glob(f"* {condition}.f32"))
        if not recordings:
            sys.exit(f"no recordings of {condition} in {folder}")
        for path in recordings:
            sound = np.fromfile(path, dtype="<f4")
            played = json.loads(path.with_suffix(".json").read_text())
            for name, tracker in trackers.items():
                heard = tracker(sound)
                total = totals[name, condition]
                total[0] += pairs(played, heard, False)
                total[1] += pairs(played, heard, True)
                total[2] += len(played)
                total[3] += len(heard)
    scratch.unlink(missing_ok=True)
    for name in trackers:
        cells = []
        for condition in CONDITIONS:
            onsets, notes, played, heard = totals[name, condition]
            both = [2 * found / (played + heard) for found in (onsets, notes)]
            cells.append(" / ".join(f"{share:.3f}".lstrip("0") for share in both))
        print(f"| {name} | " + " | ".join(cells) + " |")


main()
