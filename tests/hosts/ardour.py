"""What the checks in Ardour share: a home with the plugin in it, sessions, and the invented take on a track."""

import os
import shutil
import subprocess
from pathlib import Path
from xml.etree import ElementTree

from common import END, HERE, SCRATCH, VST3, Differs, NotHere, write_take

NAME = "take"
# The folder has the session's name: what is recorded lies under it once more.
SESSION = SCRATCH / NAME
FILE = SESSION / f"{NAME}.ardour"
INSTALL = HERE.parent.parent / "xtask/src/package/install.sh"
SCANNER = Path("/usr/lib/ardour7/ardour-vst3-scanner")
# Ardour's: ticks in a quarter, superclocks in a second.
TICKS, SUPERCLOCKS = 1_920, 282_240_000
# It aborts now and then before it plays anything ("Port already exists").
TRIES = 8
# How long a script may take, in seconds: the take is some twenty.
LONGEST = 120


def is_missing() -> str | None:
    """Why there is no Ardour here."""
    if shutil.which("ardour7-lua") is None or not SCANNER.exists():
        return "Ardour 7 is not installed (Debian: apt-get install ardour)"
    return None


def home() -> dict[str, str]:
    """An environment with a home of its own, in which the plugin is installed, by the package's own
    script, and scanned."""
    folder, package = SCRATCH / "home", SCRATCH / "package"
    for old in (folder, package):
        shutil.rmtree(old, ignore_errors=True)
    for new in (folder, package / "CLAP"):
        new.mkdir(parents=True)
    shutil.copytree(VST3, package / "VST3" / VST3.name)
    shutil.copy(VST3.with_suffix(".clap"), package / "CLAP")
    shutil.copy(INSTALL, package)
    environment = {**os.environ, "HOME": str(folder), "OVERBAR_DATA": str(SCRATCH / "data")}
    for variable in ("XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME"):
        environment.pop(variable, None)
    done = subprocess.run(
        ["sh", package / INSTALL.name], env=environment, capture_output=True, text=True, check=False
    )
    installed = folder / ".vst3" / VST3.name
    if done.returncode != 0 or not installed.is_dir():
        raise Differs(f"{INSTALL.name} installs nothing: {done.stdout}{done.stderr}")
    # The scanner keeps times in whole seconds, and takes a plugin of a later fraction for changed.
    for path in installed.rglob("*.so"):
        os.utime(path, (1_750_000_000, 1_750_000_000))
    libraries = {**environment, "LD_LIBRARY_PATH": "/usr/lib/ardour7"}
    done = subprocess.run(
        [SCANNER, "-f", installed], env=libraries, capture_output=True, text=True, check=False
    )
    if "Overbar" not in done.stdout + done.stderr:
        raise Differs(f"the scanner finds no plugin: {done.stdout}{done.stderr}")
    return environment


def lua(script: str, environment: dict[str, str], *arguments) -> str:
    command = ["ardour7-lua", HERE / script, *map(str, arguments)]
    try:
        done = subprocess.run(
            command, env=environment, capture_output=True, text=True, check=False, timeout=LONGEST
        )
    except subprocess.TimeoutExpired:
        raise Differs(f"{script} does not come to an end within {LONGEST} s") from None
    return done.stdout + done.stderr


def make(environment: dict[str, str], *tracks: str, plugin: str = "Overbar") -> None:
    """A session with these tracks; the plugin is on the last."""
    make_by("make_session.lua", environment, plugin, *tracks)


def make_by(script: str, environment: dict[str, str], *arguments) -> None:
    """The session that a script makes."""
    output = ""
    for _ in range(TRIES):
        shutil.rmtree(SESSION, ignore_errors=True)
        output = lua(script, environment, SESSION, NAME, *arguments)
        if FILE.exists() and "<chunk>" in FILE.read_text():
            return
    if "already exists" in output:
        raise NotHere(f"Ardour makes no session in {TRIES} tries: {output}")
    raise Differs(f"no session with the plugin after {TRIES} tries: {output}")


def session() -> ElementTree.Element:
    """The session, as a tree that is yet to be written."""
    return ElementTree.parse(FILE).getroot()


def add_the_take() -> ElementTree.Element:
    """The session with the notes on its track."""
    root = session()
    write_take(midi_file(), [], [])
    add_midi(root, END)
    return root


def midi_file() -> Path:
    """Where a session keeps the notes of its MIDI track."""
    return SESSION / "interchange" / NAME / "midifiles" / "take.mid"


def add_midi(root: ElementTree.Element, beats: float) -> None:
    """The notes in `midi_file` on the MIDI track, which last so many beats."""
    length = f"b{round((beats + 2) * TICKS)}@b0"
    source = {"name": "take.mid", "type": "midi", "flags": "Writable,CanRename", "natural-position": "b0"}
    region = {"type": "midi", "start": "b0", "length": length, "position": "b0", "sync-position": "b0",
              "ancestral-start": "b0", "ancestral-length": length}
    add(root, 9_001, source, region)


def add_the_sound(file: Path, samples: int) -> ElementTree.Element:
    """The session with a mono recording on its track."""
    root = session()
    add_sound(root, file, samples)
    return root


def add_sound(root: ElementTree.Element, file: Path, samples: int) -> None:
    """A mono recording on the audio track. Fades would change it."""
    folder = SESSION / "interchange" / NAME / "audiofiles"
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copy(file, folder)
    length = f"a{samples * SUPERCLOCKS // 48_000}@a0"
    source = {"name": file.name, "type": "audio", "flags": "", "channel": "0", "natural-position": "a0",
              "gain": "1"}
    region = {"type": "audio", "start": "a0", "length": length, "position": "a0", "sync-position": "a0",
              "ancestral-start": "a0", "ancestral-length": length, "scale-amplitude": "1",
              "envelope-active": "0", "default-fade-in": "0", "default-fade-out": "0",
              "fade-in-active": "0", "fade-out-active": "0"}
    add(root, 9_011, source, region)


def add(root: ElementTree.Element, number: int, source: dict[str, str], region: dict[str, str]) -> None:
    """A source and its region on the track of its kind; they get this id and the next two."""
    names = (str(number + more) for more in range(3))
    source_id, whole_id, region_id = names
    of_all = {
        "name": Path(source["name"]).stem, "source-0": source_id, "master-source-0": source_id,
        "channels": "1", "opaque": "1", "muted": "0", "locked": "0", "automatic": "0", "external": "1",
        "hidden": "0", "stretch": "1", "shift": "1", "layering-index": "0", "first-edit": "nothing",
    }
    region = {**of_all, **region}
    source = {**source, "id": source_id, "take-id": "", "origin": ""}
    ElementTree.SubElement(root.find("Sources"), "Source", source)
    ElementTree.SubElement(root.find("Regions"), "Region", {**region, "id": whole_id, "whole-file": "1"})
    playlist = root.find(f"Playlists/Playlist[@type='{region['type']}']")
    ElementTree.SubElement(playlist, "Region", {**region, "id": region_id, "whole-file": "0"})


def write(root: ElementTree.Element) -> None:
    ElementTree.ElementTree(root).write(FILE, encoding="UTF-8", xml_declaration=True)


def run(script: str, environment: dict[str, str], *arguments) -> None:
    """Has a script load the session and save it."""
    output = ""
    for _ in range(TRIES):
        output = lua(script, environment, SESSION, NAME, *arguments)
        if "saved" in output:
            return
    raise Differs(f"the session is not played: {output}")
