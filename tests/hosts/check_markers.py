"""Rosegarden, a sequencer, opens an exported take and saves it as a project of its own: markers, tempo and
metre stand there where the take has them. A picture of its window is left beside it.

What is expected are tempi and metres as the take is written here, and the phrases that the export tells
as JSON.
"""

import gzip
import json
import os
import shutil
import subprocess
import time
from pathlib import Path
from xml.etree import ElementTree

from common import EXECUTABLE, METRES, SCRATCH, TEMPI, Differs, NotHere, finish, output, write_take

NEEDS = ("rosegarden", "Xvfb", "xdotool")
# Rosegarden's ticks in a quarter, and its tempo's grain.
TICKS, GRAIN = 960, 100_000
SAVED = SCRATCH / "saved.rg"
PATIENCE = 60.0


class Screen:
    """A display, and what is done on it with the keyboard."""

    def __init__(self, display: str, home: Path):
        self.environment = {**os.environ, "DISPLAY": display, "HOME": str(home)}
        for variable in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_RUNTIME_DIR", "QT_QPA_PLATFORM"):
            self.environment.pop(variable, None)

    def xdotool(self, *arguments: str) -> str:
        done = subprocess.run(
            ["xdotool", *arguments], env=self.environment, capture_output=True, text=True, check=False
        )
        return done.stdout

    def window(self, name: str, patience: float = PATIENCE) -> str | None:
        """The newest window whose title has `name` in it."""
        end = time.monotonic() + patience
        while time.monotonic() < end:
            found = self.xdotool("search", "--onlyvisible", "--name", name).split()
            if found:
                return found[-1]
            time.sleep(0.2)
        return None

    def keys(self, window: str, *keys: str) -> None:
        self.xdotool("windowfocus", "--sync", window)
        self.xdotool("key", *keys)
        time.sleep(0.5)


def save_from(screen: Screen, midi: Path) -> None:
    """Opens the file in Rosegarden and saves it as a project."""
    with (SCRATCH / "rosegarden.txt").open("w") as log:
        command = ["rosegarden", "--nosplash", "--nosound", midi]
        program = subprocess.Popen(command, env=screen.environment, stdout=log, stderr=log)
    try:
        main = screen.window(f"{midi.name} - Rosegarden")
        if main is None:
            if screen.window("Rosegarden", 1):
                raise Differs(f"Rosegarden does not open {midi.name}")
            raise NotHere("Rosegarden does not start")
        welcome = screen.window("Welcome", 5)
        if welcome:
            screen.keys(welcome, "Return")
        if shutil.which("import"):
            picture = ["import", "-window", "root", SCRATCH / "markers.png"]
            subprocess.run(picture, env=screen.environment, check=False)
        screen.keys(main, "ctrl+s")
        dialog = screen.window("Save as")
        if dialog is None:
            raise NotHere("Rosegarden does not ask where to save")
        screen.keys(dialog, "ctrl+a")
        screen.xdotool("type", str(SAVED))
        screen.keys(dialog, "Return")
        end = time.monotonic() + PATIENCE
        while not SAVED.exists() and time.monotonic() < end:
            time.sleep(0.2)
        time.sleep(1.0)
    finally:
        program.kill()
        program.wait()
    if not SAVED.exists():
        raise Differs("Rosegarden saves nothing of the file")


def check() -> str:
    missing = [program for program in NEEDS if not shutil.which(program)]
    if missing:
        raise NotHere(f"{', '.join(missing)} cannot be had")
    take = SCRATCH / "take.mid"
    write_take(take, TEMPI, METRES)
    output(EXECUTABLE, "review", take, "--export", SCRATCH / "out")
    phrases = json.loads((SCRATCH / "out" / "take.json").read_text())["phrases"]
    read, write = os.pipe()
    server = ["Xvfb", "-displayfd", str(write), "-screen", "0", "1280x900x24"]
    xvfb = subprocess.Popen(server, pass_fds=[write], stderr=subprocess.DEVNULL)
    os.close(write)
    home = SCRATCH / "home"
    home.mkdir()
    try:
        with os.fdopen(read) as number:
            display = f":{number.readline().strip()}"
        save_from(Screen(display, home), SCRATCH / "out" / "take.mid")
    finally:
        xvfb.terminate()
    root = ElementTree.fromstring(gzip.decompress(SAVED.read_bytes()))
    found = root.iter("marker")
    markers = [(int(marker.get("time")) / TICKS, marker.get("name")) for marker in found]
    if len(markers) != len(phrases):
        raise Differs(f"{len(markers)} markers for {len(phrases)} phrases: {markers}")
    for number, ((beat, name), phrase) in enumerate(zip(markers, phrases, strict=True), 1):
        bar, in_bar = place(beat)
        entry = (phrase["entry_bar"], phrase["entry_beat"])
        if bar != entry[0] or abs(in_bar - entry[1]) > 0.01:
            raise Differs(f"marker {number} is in bar {bar} on {in_bar}, the phrase enters at {entry}")
        called = f"{number}: {phrase['entry_place']}, {phrase['bars']:.1f} bars"
        if name != called:
            raise Differs(f"marker {number} is called {name}, not {called}")
    tempi = [(int(t.get("time")) / TICKS, int(t.get("tempo")) / GRAIN) for t in root.iter("tempo")]
    if [(beat, round(tempo)) for beat, tempo in tempi] != TEMPI:
        raise Differs(f"tempi {tempi}, not {TEMPI}")
    signatures = root.iter("timesignature")
    metres = [
        (int(one.get("time")) // TICKS, int(one.get("numerator")), int(one.get("denominator")))
        for one in signatures
    ]
    if metres != METRES:
        raise Differs(f"metres {metres}, not {METRES}")
    return f"{len(markers)} markers at their bars, tempi and metres in Rosegarden"


def place(beat: float) -> tuple[int, float]:
    """Bar and beat, both from 1, of a quarter note from the song's start."""
    bar = 1
    changes = [*METRES[1:], (float("inf"), 0, 0)]
    for (start, upper, lower), (end, *_) in zip(METRES, changes, strict=True):
        length = upper * 4 / lower
        if beat < end:
            bars = int((beat - start) // length)
            return bar + bars, 1 + (beat - start - bars * length) * lower / 4
        bar += round((end - start) / length)
    raise Differs(f"no bar has beat {beat}")


finish("check_markers", check)
