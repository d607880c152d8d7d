"""Checks the built plugin in real hosts.

`run.py COMMANDS STATE_REVIEW VST3`: the executables of overbar and of `state_review`, and the bundle.
Ardour, Rosegarden, JACK and what else is needed is installed where this runs as root on a system with apt-get;
dawdreamer, pedalboard and a client of JACK go into an environment of Python's own. What can't be
had is skipped, which is said in capitals; so is a host that cannot be kept up on this machine.

These hosts play in real time, beside whatever else the machine does, so that a check that does not hold
is made again. It has passed only if it then holds twice in a row, and that it did not at first is said at
the end: what goes wrong now and then is a fault too.

Exit code: 0 where no check failed.
"""

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "outside"))

import headers  # noqa: E402
import run as outside  # noqa: E402

outside.VENV = outside.TARGET / "hosts-venv"
outside.REQUIREMENTS = HERE / "requirements.txt"


# Attempts at a check that did not hold at first, all of which have to.
AGAIN = 2
# How long an attempt may take, and how long all may before no further check is begun; in seconds.
LONGEST = 300
ALL = 1_500

# Programs, and the packages of Debian that have them.
PACKAGES = {
    "ardour7-lua": ["ardour"],
    "jackd": ["jackd2"],
    "Xvfb": ["xvfb"],
    "xdotool": ["xdotool"],
    "import": ["imagemagick"],
    "rosegarden": ["rosegarden"],
}


def install() -> None:
    missing = [packages for program, packages in PACKAGES.items() if not shutil.which(program)]
    if not headers.are_here():
        missing.append(headers.PACKAGES)
    if not missing or not shutil.which("apt-get") or os.geteuid() != 0:
        return
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    patience = ["-o", "Acquire::http::Timeout=30", "-o", "Acquire::Retries=1"]
    for command in (["update"], *(["install", "-y", *packages] for packages in missing)):
        try:
            done = outside.run(["apt-get", "-qq", *patience, *command], env=environment, timeout=LONGEST)
        except subprocess.TimeoutExpired:
            print(f"hosts: apt-get {' '.join(command)}: not within {LONGEST} s", flush=True)
            return
        if done.returncode != 0:
            print(f"hosts: apt-get {' '.join(command)}: {outside.last_line(done)}", flush=True)


def attempt(python: Path, check: Path, commands: list[str]) -> int:
    """Makes a check once; its exit code, and 1 where it does not come to an end."""
    scratch = outside.TARGET / "hosts" / check.stem
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir(parents=True)
    environment = {**os.environ, "OVERBAR_DATA": str(scratch / "data")}
    command = [python, "-B", check, *commands, scratch]
    # In a session of its own: what it started ends with it.
    running = subprocess.Popen(command, env=environment, start_new_session=True)
    try:
        return running.wait(timeout=LONGEST)
    except subprocess.TimeoutExpired:
        print(f"{check.stem}: it does not come to an end within {LONGEST} s", flush=True)
        return 1
    finally:
        try:
            os.killpg(running.pid, signal.SIGKILL)
        except ProcessLookupError:
            pass
        running.wait()


def outcome(python: Path, check: Path, commands: list[str]) -> tuple[int, bool]:
    """Makes a check, again where it does not hold; its exit code, and whether it held at once."""
    code = attempt(python, check, commands)
    if code in (0, outside.SKIPPED):
        return code, True
    print(f"{check.stem}: exit code {code}; it has to hold {AGAIN} times now", flush=True)
    for _ in range(AGAIN):
        code = attempt(python, check, commands)
        if code != 0:
            break
    return code, False


def main() -> int:
    commands = sys.argv[1:4]
    checks = sorted(HERE.glob("check_*.py"))
    install()
    try:
        python = outside.environment()
    except outside.Unavailable as why:
        print(f"NO CHECK IN A REAL HOST WAS RUN: {why}")
        outside.note_skipped(f"all checks in real hosts: {why}")
        print(f"hosts: 0 passed, 0 failed, {len(checks)} skipped")
        return 0
    except outside.Broken as why:
        print(f"hosts: {why}")
        return 1
    passed, failed, skipped, unsteady = 0, 0, 0, []
    begun = time.monotonic()
    for check in checks:
        if time.monotonic() - begun > ALL:
            late = f"{check.stem}: the checks before it took more than {ALL} s"
            print(f"*** SKIPPED: {late} ***", flush=True)
            outside.note_skipped(late)
            skipped += 1
            continue
        code, at_once = outcome(python, check, commands)
        passed += code == 0
        skipped += code == outside.SKIPPED
        if code not in (0, outside.SKIPPED):
            failed += 1
            print(f"FAILED {check.stem}: exit code {code}", flush=True)
        elif not at_once:
            unsteady.append(check.stem)
    if unsteady:
        print(f"*** NOT AT FIRST: {', '.join(unsteady)} held only when made again ***")
    print(f"hosts: {passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
