"""How long `review` takes over the labelled solos, beside libraries of Python that only read them.

`run.py COMMANDS [FOLDER]`: overbar, in release, and the folder of MIDI files, by
default ../shared/data/open-solos/midi. Each is the best of several rounds in one run, so that the
ratios hold on any machine. `review` is a process of its own and analyses all it reads; mido,
pretty_midi and symusic read the files in this process, and music21 gives the beat of each note. The
fastest of them, symusic, is timed as a program of its own too, which has to start as review has: that
is what review has to be faster than. What symusic takes in a process that runs already is told beside
it.

Exit code: 1 where review is not faster than that program, or than any other library.
"""

import json
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "outside"))

ROUNDS = 5

# Starts, loads the library and reads every file.
READ_ONLY = """
import symusic, sys
from pathlib import Path
for path in sorted(Path(sys.argv[1]).glob("*.mid")):
    symusic.Score(str(path))
"""


def best(run, rounds: int = ROUNDS) -> float:
    times = []
    for _ in range(rounds):
        began = time.perf_counter()
        run()
        times.append(time.perf_counter() - began)
    return min(times)


def measure(executable: str, folder: Path) -> None:
    """In the environment that has the libraries."""
    import mido
    import music21
    import pretty_midi
    import symusic

    files = sorted(folder.glob("*.mid"))
    few = files[::20]

    def beats(path: Path) -> list[float]:
        score = music21.converter.parse(path)
        return [float(note.offset) for note in score.flatten().notes]

    def review() -> None:
        subprocess.run([executable, "review", "--json", folder], stdout=subprocess.DEVNULL, check=True)

    def program() -> None:
        subprocess.run([sys.executable, "-B", "-c", READ_ONLY, folder], check=True)

    times = {
        "review": best(review),
        "symusic, as a program": best(program),
        "mido": best(lambda: [mido.MidiFile(path) for path in files], 2),
        "pretty_midi": best(lambda: [pretty_midi.PrettyMIDI(str(path)) for path in files], 2),
        "symusic": best(lambda: [symusic.Score(str(path)) for path in files]),
        # Of one file in twenty, and reckoned up.
        "music21": best(lambda: [beats(path) for path in few], 1) * len(files) / len(few),
    }
    print(json.dumps({"files": len(files), "seconds": times}))


def main() -> int:
    executable = sys.argv[1]
    default = HERE.parent.parent.parent / "shared/data/open-solos/midi"
    folder = Path(sys.argv[2]) if len(sys.argv) > 2 else default
    if not folder.is_dir():
        print(f"SPEED WAS NOT COMPARED: there are no labelled solos at {folder}")
        return 0
    import run as outside

    outside.VENV = outside.TARGET / "speed-venv"
    outside.REQUIREMENTS = HERE / "requirements.txt"
    try:
        python = outside.environment()
    except outside.Unavailable as why:
        print(f"SPEED WAS NOT COMPARED: {why}")
        return 0
    done = subprocess.run(
        [python, "-B", __file__, executable, folder, "--measure"], capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        print(f"speed: {done.stderr}")
        return 1
    measured = json.loads(done.stdout.splitlines()[-1])
    times = measured["seconds"]
    print(f"{measured['files']} files:")
    for name, seconds in sorted(times.items(), key=lambda item: item[1]):
        print(f"  {name:22} {seconds * 1e3:10.1f} ms  {seconds / times['review']:8.2f} times review")
    fastest = min(seconds for name, seconds in times.items() if name not in ("review", "symusic"))
    return 0 if times["review"] < fastest else 1


if __name__ == "__main__":
    if sys.argv[-1] == "--measure":
        measure(sys.argv[1], Path(sys.argv[2]))
    else:
        # The other run.py is a module of the same name: this one is __main__.
        sys.exit(main())
