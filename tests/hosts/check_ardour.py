"""Ardour, without a display or a sound card: it loads the plugin, plays a loop and a take with changes of
tempo and metre, saves, loads and saves again. The phrases in the saved state are those of the
same take as a file.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

from common import (
    END,
    HERE,
    METRES,
    SCRATCH,
    SKIPPED,
    TEMPI,
    VST3,
    Differs,
    NotHere,
    chunk_of,
    finish,
    review_of_file,
    reviews_of_state,
    same_phrases,
    write_take,
)

NAME = "take"
# The folder has the session's name: what is recorded lies under it once more.
SESSION = SCRATCH / NAME
FILE = SESSION / f"{NAME}.ardour"
SCANNER = Path("/usr/lib/ardour7/ardour-vst3-scanner")
# Ardour's: ticks in a quarter, superclocks in a second.
TICKS, SUPERCLOCKS = 1_920, 282_240_000
# It aborts now and then before it plays anything ("Port already exists").
TRIES = 8
LOOP = (4, 12)
# A pass of fewer notes is not told from one that is played: `core/src/playback.rs`.
FEWEST = 6
# The take is over by then: 22 beats at 132 and 16 at 160 a minute.
LAST_SECOND = 18


def home() -> dict[str, str]:
    """An environment with a home of its own, in which the plugin is installed and scanned."""
    folder = SCRATCH / "home"
    plugins = folder / ".vst3"
    shutil.rmtree(folder, ignore_errors=True)
    plugins.mkdir(parents=True)
    installed = plugins / VST3.name
    shutil.copytree(VST3, installed)
    # The scanner keeps times in whole seconds, and takes a plugin of a later fraction for changed.
    for path in installed.rglob("*.so"):
        os.utime(path, (1_750_000_000, 1_750_000_000))
    environment = {**os.environ, "HOME": str(folder), "OVERBAR_DATA": str(SCRATCH / "data")}
    for variable in ("XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME"):
        environment.pop(variable, None)
    libraries = {**environment, "LD_LIBRARY_PATH": "/usr/lib/ardour7"}
    done = subprocess.run(
        [SCANNER, "-f", installed], env=libraries, capture_output=True, text=True, check=False
    )
    if "Overbar" not in done.stdout + done.stderr:
        raise Differs(f"the scanner finds no plugin: {done.stdout}{done.stderr}")
    return environment


def lua(script: str, environment: dict[str, str], *arguments) -> str:
    command = ["ardour7-lua", HERE / script, *map(str, arguments)]
    done = subprocess.run(
        command, env=environment, capture_output=True, text=True, check=False, timeout=180
    )
    return done.stdout + done.stderr


def make(environment: dict[str, str]) -> None:
    said = ""
    for _ in range(TRIES):
        shutil.rmtree(SESSION, ignore_errors=True)
        said = lua("make_session.lua", environment, SESSION, NAME)
        if FILE.exists() and "<chunk>" in FILE.read_text():
            return
    if "already exists" in said:
        raise NotHere(f"Ardour makes no session in {TRIES} tries: {said}")
    raise Differs(f"no session with the plugin after {TRIES} tries: {said}")


def add_the_take() -> None:
    """Puts the notes on the track, and a loop into the session."""
    write_take(SESSION / "interchange" / NAME / "midifiles" / "take.mid", [], [])
    root = ElementTree.parse(FILE).getroot()
    length = f"b{round((END + 2) * TICKS)}@b0"
    region = {
        "name": "take", "type": "midi", "start": "b0", "length": length, "position": "b0",
        "source-0": "9001", "master-source-0": "9001", "channels": "1", "opaque": "1",
        "muted": "0", "locked": "0", "automatic": "0", "external": "1", "hidden": "0",
        "sync-position": "b0", "ancestral-start": "b0", "ancestral-length": length,
        "stretch": "1", "shift": "1", "layering-index": "0", "first-edit": "nothing",
    }
    source = {
        "name": "take.mid", "type": "midi", "flags": "Writable,CanRename", "id": "9001",
        "natural-position": "b0", "take-id": "", "origin": "",
    }
    start, end = (round(beat * 60 / 132 * SUPERCLOCKS) for beat in LOOP)
    loop = {
        "id": "9004", "name": "Loop", "start": f"a{start}", "end": f"a{end}",
        "flags": "IsAutoLoop,IsHidden", "locked": "0", "timestamp": "0",
    }
    ElementTree.SubElement(root.find("Sources"), "Source", source)
    ElementTree.SubElement(root.find("Regions"), "Region", {**region, "id": "9002", "whole-file": "1"})
    playlist = root.find("Playlists/Playlist")
    ElementTree.SubElement(playlist, "Region", {**region, "id": "9003", "whole-file": "0"})
    ElementTree.SubElement(root.find("Locations"), "Location", loop)
    ElementTree.ElementTree(root).write(FILE, encoding="UTF-8", xml_declaration=True)


def play(environment: dict[str, str], seconds: float, loop: float) -> None:
    said = ""
    for _ in range(TRIES):
        said = lua("play_session.lua", environment, SESSION, NAME, seconds, loop)
        if "saved" in said:
            return
    raise Differs(f"the session is not played: {said}")


def check() -> str:
    take = SCRATCH / "take.mid"
    write_take(take, TEMPI, METRES)
    expected = review_of_file(take)
    environment = home()
    make(environment)
    add_the_take()
    play(environment, LAST_SECOND, 12)
    first = chunk_of(FILE)
    reviews = reviews_of_state(first, "first")
    whole = [one for one in reviews if one["notes"] == expected["notes"]]
    if len(whole) != 1:
        raise Differs(f"takes of {[one['notes'] for one in reviews]} notes, not one of {expected['notes']}")
    same_phrases(whole[0], expected, "played through")
    # The first round is new; the others play back what is known then, and are no takes. Where the last
    # one is broken off it may have too few notes to be known again.
    rounds = [one for one in reviews if one is not whole[0] and one["notes"] >= FEWEST]
    if len(rounds) != 1 or not 0 < rounds[0]["notes"] < expected["notes"]:
        raise Differs(f"takes of {[one['notes'] for one in rounds]} notes in the loop, not one of its own")
    # Loaded, stopped and saved: nothing is lost, nothing is doubled.
    play(environment, 0, 0)
    again = reviews_of_state(chunk_of(FILE), "again")
    if again != reviews:
        raise Differs(f"after loading and saving there are {len(again)} takes, not {len(reviews)}")
    return f"{len(expected['phrases'])} phrases as in the file, the first round of a loop is a take, saved twice"


if shutil.which("ardour7-lua") is None or not SCANNER.exists():
    print("SKIPPED check_ardour: Ardour 7 is not installed (Debian: apt-get install ardour)")
    sys.exit(SKIPPED)
finish("check_ardour", check)
