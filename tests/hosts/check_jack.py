"""The stand-alone program under JACK's dummy driver: a sequencer plays into it, and it counts a drill.

JACK's transport rolls from its first sample, and the sequencer, a JACK client, plays at the transport's
own samples: six phrases in a form of twelve bars, of which five come in on the "and" of 4. The drill
"Target position" is chosen and begun with the mouse. What it counted stands in the library, as does the
take with all of its notes. A picture of the window is left beside it.

The answer is in how the phrases are written here; no outside source.
"""

import os
import shutil
import sqlite3
import subprocess
import time
from json import loads
from pathlib import Path

import headers
from common import HERE, SCRATCH, STATE_REVIEW, Differs, NotHere, finish

ROOT = HERE.parent.parent
TARGET = Path(STATE_REVIEW).parent.parent
PROGRAM = TARGET / "debug" / "overbar-panel"
NEEDS = ("jackd", "Xvfb", "xdotool", "pkg-config")
SERVER = "overbar-check"
# Transport: samples a second, quarter notes a minute.
RATE, TEMPO = 48_000, 240
PERIOD = 1_024
QUARTER = RATE * 60 // TEMPO
# Beats from the song's start: the first bar is the count-in, the form has the twelve after it.
ENTRIES = [7.5, 15.5, 24.0, 31.5, 39.5, 47.5]
END = 60
EIGHTHS = 6
TRIES = 3
# In a window of 640 by 400 at scale 1: the view, and the button that begins the drill in the list.
CLICKS = [(190, 12), (252, 197)]


def build() -> None:
    """The program, of which no other check has need."""
    command = ["cargo", "build", "--quiet", "--package", "overbar", "--features", "standalone"]
    target = {**os.environ, "CARGO_TARGET_DIR": str(TARGET)}
    done = subprocess.run([*command, "--bin", "overbar-panel"], cwd=ROOT, env=target, check=False)
    if done.returncode != 0:
        raise Differs("the stand-alone program does not build")


def until(what: str, done, seconds: float = 20.0):
    """Waits for something that comes to be."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        found = done()
        if found:
            return found
        time.sleep(0.05)
    raise Differs(f"{what}: not within {seconds:.0f} s")


class Sequencer:
    """Plays at the samples of JACK's transport."""

    def __init__(self, jack):
        self.jack = jack
        self.client = jack.Client("sequencer", servername=SERVER, no_start_server=True)
        self.out = self.client.midi_outports.register("out")
        self.events = sorted(
            (round(beat * QUARTER), message)
            for start in ENTRIES
            for step in range(EIGHTHS)
            for beat, message in (
                (start + step / 2, bytes([0x90, 60 + 2 * step, 90])),
                (start + step / 2 + 0.42, bytes([0x80, 60 + 2 * step, 0])),
            )
        )
        # Where the transport goes on if no period is missed, and how often it did not.
        self.next: int | None = None
        self.jumps = 0
        self.client.set_process_callback(self.process)

    def process(self, frames: int) -> None:
        self.out.clear_buffer()
        state, position = self.client.transport_query_struct()
        if state != self.jack.ROLLING:
            self.next = None
            return
        self.jumps += self.next not in (None, position.frame)
        self.next = position.frame + frames
        while self.events and self.events[0][0] < position.frame + frames:
            at, message = self.events.pop(0)
            self.out.write_midi_event(max(0, at - position.frame), message)

    def ports(self) -> list:
        return self.client.get_ports("overbar:midi_input", is_midi=True)


def play(jack, display: str, data) -> int:
    """Begins the drill and plays all of it; how often JACK's transport jumped meanwhile."""
    environment = {
        **os.environ,
        "DISPLAY": display,
        "JACK_DEFAULT_SERVER": SERVER,
        "OVERBAR_DATA": str(data),
    }
    command = [PROGRAM, "--backend", "jack", "--tempo", str(TEMPO)]
    with (SCRATCH / "program.txt").open("w") as log:
        program = subprocess.Popen(command, env=environment, stdout=log, stderr=log)
    try:
        sequencer = Sequencer(jack)
        with sequencer.client:
            until("the program's MIDI input", sequencer.ports)
            sequencer.client.connect(sequencer.out, "overbar:midi_input")
            find = ["xdotool", "search", "--name", "Overbar"]
            quiet = {"env": environment, "capture_output": True, "check": False}
            until("the program's window", lambda: subprocess.run(find, **quiet).stdout)
            for x, y in CLICKS:
                time.sleep(1.0)
                click = ["xdotool", "mousemove", str(x), str(y), "click", "1"]
                subprocess.run(click, **quiet)
            time.sleep(1.0)
            sequencer.client.transport_locate(0)
            sequencer.client.transport_start()
            end = END * QUARTER
            until("the end", lambda: sequencer.client.transport_frame > end, 2 * end / RATE)
            sequencer.client.transport_stop()
            time.sleep(1.5)
            picture = ["import", "-window", "root", "-crop", "640x400+0+0", SCRATCH / "drill.png"]
            if shutil.which("import"):
                subprocess.run(picture, **quiet)
    finally:
        program.terminate()
        program.wait(timeout=20)
    return sequencer.jumps


def counted(data) -> tuple[list, list]:
    """Drills with what was met and due of their goals; notes of the takes."""
    path = data / "library.sqlite"
    if not path.exists():
        raise Differs("there is no library")
    library = sqlite3.connect(path)
    drills = [
        (name, [(goal["met"], goal["due"]) for goal in loads(result)["goals"]])
        for name, result in library.execute("SELECT name, result FROM drill ORDER BY at")
    ]
    takes = [notes for (notes,) in library.execute("SELECT notes FROM take ORDER BY began")]
    library.close()
    return drills, takes


def check() -> str:
    missing = [program for program in NEEDS if not shutil.which(program)]
    if missing:
        raise NotHere(f"{', '.join(missing)} cannot be had")
    if not headers.are_here():
        raise NotHere("the headers of ALSA and JACK cannot be had")
    try:
        import jack
    except (ImportError, OSError) as why:
        raise NotHere(f"its Python client: {why}") from why
    build()
    read, write = os.pipe()
    screen = ["Xvfb", "-displayfd", str(write), "-screen", "0", "900x700x24"]
    xvfb = subprocess.Popen(screen, pass_fds=[write], stderr=subprocess.DEVNULL)
    os.close(write)
    with os.fdopen(read) as number:
        display = f":{number.readline().strip()}"
    driver = ["-d", "dummy", "-r", str(RATE), "-p", str(PERIOD)]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    # In real time where that is allowed: a period that is missed is a jump of JACK's transport.
    server = subprocess.Popen(["jackd", "-R", "--name", SERVER, *driver], **quiet)
    time.sleep(2.0)
    if server.poll() is not None:
        server = subprocess.Popen(["jackd", "--no-realtime", "--name", SERVER, *driver], **quiet)
    try:
        drills, takes, jumps = [], [], 0
        for turn in range(TRIES):
            data = SCRATCH / f"data-{turn}"
            jumps = play(jack, display, data)
            drills, takes = counted(data)
            if jumps == 0 or len(takes) == 1:
                break
            print(f"jack: the transport jumped {jumps} times, and there are takes of {takes} notes")
    finally:
        server.terminate()
        xvfb.terminate()
    if jumps and len(takes) > 1:
        raise NotHere(f"JACK missed periods in each of {TRIES} turns: takes of {takes} notes")
    notes = len(ENTRIES) * EIGHTHS
    right = sum(entry % 4 == 3.5 for entry in ENTRIES)
    if takes != [notes] or drills != [("Target position", [(right, len(ENTRIES))])]:
        raise Differs(f"takes of {takes} notes, drills {drills}")
    return f"a take of {notes} notes, and {right} of {len(ENTRIES)} entries counted on the \"and\" of 4"


finish("check_jack", check)
