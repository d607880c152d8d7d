"""Checks the commands against libraries from outside.

Run from anywhere as `python3 tests/outside/run.py`. It builds the commands, makes a virtual
environment of its own under target/outside-venv with the versions in requirements.txt, and runs
every check_*.py in it. A check prints one line and ends with 0 (it holds), 1 (it does not) or 77
(it was skipped, and says why).

Exit code: 0 where no check failed. Where the environment cannot be made for want of a network,
of pip or of venv, every check is skipped, which is said in capitals, and the exit code is 0. Any
other failure is 1.

Options: --solos FOLDER, labelled solos for check_solos.py, by default those that OVERBAR_SOLOS names, or
../shared/data/open-solos. What is skipped goes into target/skipped.txt, which `check` prints last.
"""

import argparse
import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
VENV = TARGET / "outside-venv"
REQUIREMENTS = HERE / "requirements.txt"
SKIPPED = 77

# What pip says where it reaches no registry. "from versions: none" is how it ends then; a
# version that does not exist is told with a list of those that do.
UNREACHABLE = ("from versions: none", "ConnectionError", "Network is unreachable", "timed out")


class Unavailable(Exception):
    """The environment can't be made here, through no fault of the project."""


class Broken(Exception):
    """Something that has to work did not."""


def python_of(venv: Path) -> Path:
    folder, name = ("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")
    return venv / folder / name


def run(command, **options) -> subprocess.CompletedProcess:
    return subprocess.run(command, capture_output=True, text=True, check=False, **options)


def environment() -> Path:
    """The environment's Python, made anew where the requirements or this Python have changed."""
    text = REQUIREMENTS.read_bytes() + sys.version.encode()
    wanted = hashlib.sha256(text).hexdigest()
    stamp = VENV / "requirements.sha256"
    python = python_of(VENV)
    if stamp.exists() and stamp.read_text() == wanted and python.exists():
        return python
    shutil.rmtree(VENV, ignore_errors=True)
    made = run([sys.executable, "-m", "venv", VENV])
    if made.returncode != 0:
        raise Unavailable(f"python3 -m venv does not work here: {last_line(made)}")
    pip = [python, "-m", "pip"]
    if run([*pip, "--version"]).returncode != 0:
        raise Unavailable("there is no pip")
    print("outside: installing", ", ".join(REQUIREMENTS.read_text().split()), flush=True)
    quiet = ["--quiet", "--disable-pip-version-check", "--no-input"]
    installed = run([*pip, "install", *quiet, "--requirement", REQUIREMENTS])
    if installed.returncode != 0:
        output = installed.stdout + installed.stderr
        if any(sign in output for sign in UNREACHABLE):
            raise Unavailable(f"pip reaches no registry: {last_line(installed)}")
        raise Broken(f"pip install failed:\n{output}")
    stamp.write_text(wanted)
    return python


def last_line(done: subprocess.CompletedProcess) -> str:
    lines = (done.stdout + done.stderr).strip().splitlines()
    return lines[-1] if lines else f"exit code {done.returncode}"


def build(name: str) -> str:
    """The path of an executable, freshly built: with the features that the tests of the workspace have, so that
    little is built anew."""
    cargo = os.environ.get("CARGO", "cargo")
    command = [cargo, "build", "--quiet", "--workspace", "--bin", name, "--message-format", "json"]
    built = run(command, cwd=ROOT)
    if built.returncode != 0:
        raise Broken(f"{name} does not build:\n{built.stderr}")
    for line in built.stdout.splitlines():
        message = json.loads(line)
        if message.get("executable") and message["target"]["name"] == name:
            return message["executable"]
    raise Broken(f"cargo does not name the executable {name}")


def note_skipped(what: str) -> None:
    with (TARGET / "skipped.txt").open("a") as file:
        file.write(f"{what}\n")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    beside = ROOT.parent / "shared/data/open-solos"
    parser.add_argument("--solos", type=Path, default=Path(os.environ.get("OVERBAR_SOLOS", beside)))
    solos = parser.parse_args().solos.resolve()
    checks = sorted(HERE.glob("check_*.py"))
    try:
        executables = [build("xtask-analysis"), build("overbar")]
        python = environment()
    except Unavailable as why:
        for check in checks:
            print(f"SKIPPED {check.stem}")
        print(f"NO OUTSIDE CHECK WAS RUN: {why}")
        note_skipped(f"all outside checks: {why}")
        print(f"outside: 0 passed, 0 failed, {len(checks)} skipped")
        return 0
    except Broken as why:
        print(f"outside: {why}")
        return 1

    scratch = TARGET / "outside"
    shutil.rmtree(scratch, ignore_errors=True)
    running = []
    for check in checks:
        folder = scratch / check.stem
        folder.mkdir(parents=True)
        command = [python, "-B", check, *executables, folder, solos]
        pipe = subprocess.PIPE
        running.append(subprocess.Popen(command, stdout=pipe, stderr=subprocess.STDOUT, text=True))
    passed = failed = skipped = 0
    for check, process in zip(checks, running, strict=True):
        output, _ = process.communicate()
        print(output.rstrip(), flush=True)
        if process.returncode == 0:
            passed += 1
        elif process.returncode == SKIPPED:
            skipped += 1
            note_skipped(f"outside check {output.strip().removeprefix('SKIPPED ')}")
        else:
            failed += 1
            print(f"FAILED {check.stem}: exit code {process.returncode}", flush=True)
    print(f"outside: {passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
