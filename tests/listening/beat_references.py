"""Other beat trackers on the bands of the listening score, for a table beside ours.

    overbar-listening --band --font TimGM6mb.sf2 --solos FOLDER --from 0 --every 18 --seed 311 --keep KEPT
    python beat_references.py KEPT

Needs `pip install numpy librosa aubio mir_eval`. They are references from outside and are not shipped.
librosa's beat tracker (Ellis 2007) is told the tempo of the first four beats, which is what a count-in tells
ours, and once it is not; aubio's tempo runs as it comes. Ours is told by four taps where beat one is as well.
All are scored by mir_eval (Raffel and others 2014): F of the beats within 70 ms (Davies, Degara and Plumbley
2009), in the mean of the solos, from beat one on. That is not the sum over all beats that the listening score
gives.
"""

import sys
import warnings
from collections import defaultdict
from pathlib import Path

import aubio
import librosa
import mir_eval
import numpy as np

RATE = 48_000
NEAR = 0.07
# librosa's own rate: its tempo and its window are made for it.
LIBROSA_RATE = 22_050
CASES = ["plain", "loose", "no drums", "half-time", "soloist alone, 4 bars of 16", "drum break, 4 bars of 16"]


def by_librosa(sound: np.ndarray, bpm: float | None) -> np.ndarray:
    resampled = librosa.resample(sound, orig_sr=RATE, target_sr=LIBROSA_RATE)
    known = {"start_bpm": bpm} if bpm else {}
    _, beats = librosa.beat.beat_track(y=resampled, sr=LIBROSA_RATE, units="time", **known)
    return np.asarray(beats)


def by_aubio(sound: np.ndarray) -> np.ndarray:
    hop = 512
    tempo = aubio.tempo("default", 1_024, hop, RATE)
    beats = []
    for start in range(0, len(sound) - hop, hop):
        if tempo(sound[start : start + hop])[0]:
            beats.append(tempo.get_last_s())
    return np.array(beats)


def read(path: Path) -> np.ndarray:
    return np.array([float(line) for line in path.read_text().split()])


def score(true: np.ndarray, tracked: np.ndarray) -> float:
    inside = tracked[(tracked > true[0] - NEAR) & (tracked < true[-1] + NEAR)]
    return float(mir_eval.beat.f_measure(true, np.unique(inside), f_measure_threshold=NEAR))


def main() -> None:
    folder = Path(sys.argv[1])
    warnings.filterwarnings("ignore", module="mir_eval")
    scores = defaultdict(list)
    for case in CASES:
        bands = sorted(folder.glob(f"* {case} *.f32"))
        if not bands:
            sys.exit(f"no bands of {case} in {folder}")
        for path in bands:
            sound = np.fromfile(path, dtype="<f4")
            true = read(path.with_suffix(".beats"))
            bpm = 60 * 4 / (true[4] - true[0])
            trackers = {
                "Overbar, live": lambda: read(path.with_suffix(".live")),
                "Overbar, after": lambda: read(path.with_suffix(".after")),
                f"librosa {librosa.__version__}, told the tempo": lambda: by_librosa(sound, bpm),
                f"librosa {librosa.__version__}": lambda: by_librosa(sound, None),
                f"aubio {aubio.version}": lambda: by_aubio(sound),
            }
            for name, tracker in trackers.items():
                scores[name, case].append(score(true, tracker()))
    names = list(dict.fromkeys(name for name, _ in scores))
    print("| | " + " | ".join(CASES) + " |\n|---|" + "---|" * len(CASES))
    for name in names:
        cells = [f"{np.mean(scores[name, case]):.2f}".lstrip("0") for case in CASES]
        print(f"| {name} | " + " | ".join(cells) + " |")
    print(f"{len(bands)} solos")


main()
