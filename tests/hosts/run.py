"""Checks the built plugin in real hosts.

`run.py COMMANDS STATE_REVIEW VST3`: the executables of xtask and of `state_review`, and the bundle.
Ardour, Rosegarden, JACK and what else is needed is installed where this runs as root on a system with apt-get;
dawdreamer, pedalboard and a client of JACK go into an environment of Python's own. What can't be
had is skipped, which is said in capitals; so is a host that cannot be kept up on this machine.

These hosts play in real time, beside whatever else the machine does. A check that does not hold is
made again, and has failed where it never holds: what a plugin does wrong, it does wrong each time.

Exit code: 0 where no check failed.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "outside"))

import run as outside  # noqa: E402

outside.VENV = outside.TARGET / "hosts-venv"
outside.REQUIREMENTS = HERE / "requirements.txt"


# How often a check is made before it has failed, and how long it may take, in seconds.
ATTEMPTS = 3
LONGEST = 600

# Programs, and the packages of Debian that have them.
PACKAGES = {
    "ardour7-lua": ["ardour"],
    "jackd": ["jackd2"],
    "Xvfb": ["xvfb"],
    "xdotool": ["xdotool"],
    "import": ["imagemagick"],
    "pkg-config": ["pkg-config", "libasound2-dev"],
    "rosegarden": ["rosegarden"],
}


def install() -> None:
    missing = [packages for program, packages in PACKAGES.items() if not shutil.which(program)]
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
    """Makes a check once; its exit code."""
    scratch = outside.TARGET / "hosts" / check.stem
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir(parents=True)
    environment = {**os.environ, "OVERBAR_DATA": str(scratch / "data")}
    command = [python, "-B", check, *commands, scratch]
    try:
        done = subprocess.run(command, check=False, env=environment, timeout=LONGEST)
    except subprocess.TimeoutExpired:
        print(f"*** SKIPPED: {check.stem}: it does not come to an end within {LONGEST} s ***", flush=True)
        return outside.SKIPPED
    return done.returncode


def main() -> int:
    commands = sys.argv[1:4]
    checks = sorted(HERE.glob("check_*.py"))
    install()
    try:
        python = outside.environment()
    except outside.Unavailable as why:
        print(f"NO CHECK IN A REAL HOST WAS RUN: {why}")
        print(f"hosts: 0 passed, 0 failed, {len(checks)} skipped")
        return 0
    except outside.Broken as why:
        print(f"hosts: {why}")
        return 1
    passed = failed = skipped = 0
    for check in checks:
        for number in range(1, ATTEMPTS + 1):
            code = attempt(python, check, commands)
            if code in (0, outside.SKIPPED):
                break
            print(f"{check.stem}, attempt {number} of {ATTEMPTS}: exit code {code}", flush=True)
        passed += code == 0
        skipped += code == outside.SKIPPED
        if code not in (0, outside.SKIPPED):
            failed += 1
            print(f"FAILED {check.stem}: exit code {code} at each attempt", flush=True)
    print(f"hosts: {passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
