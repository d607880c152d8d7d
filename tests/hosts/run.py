"""Checks the built plugin in real hosts.

`run.py COMMANDS STATE_REVIEW VST3`: the executables of xtask and of `state_review`, and the bundle.
Ardour, JACK and what else is needed is installed where this runs as root on a system with apt-get;
dawdreamer, pedalboard and a client of JACK go into an environment of Python's own. What can't be
had is skipped, which is said in capitals.

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


# Programs, and the packages of Debian that have them.
PACKAGES = {
    "ardour7-lua": ["ardour"],
    "jackd": ["jackd2"],
    "Xvfb": ["xvfb"],
    "xdotool": ["xdotool"],
    "import": ["imagemagick"],
    "pkg-config": ["pkg-config", "libasound2-dev"],
}


def install() -> None:
    missing = [packages for program, packages in PACKAGES.items() if not shutil.which(program)]
    if not missing or not shutil.which("apt-get") or os.geteuid() != 0:
        return
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update"], *(["install", "-y", *packages] for packages in missing)):
        done = outside.run(["apt-get", "-qq", *command], env=environment)
        if done.returncode != 0:
            print(f"hosts: apt-get {' '.join(command)}: {outside.last_line(done)}")


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
        scratch = outside.TARGET / "hosts" / check.stem
        shutil.rmtree(scratch, ignore_errors=True)
        scratch.mkdir(parents=True)
        environment = {**os.environ, "OVERBAR_DATA": str(scratch / "data")}
        done = subprocess.run([python, "-B", check, *commands, scratch], check=False, env=environment)
        passed += done.returncode == 0
        skipped += done.returncode == outside.SKIPPED
        if done.returncode not in (0, outside.SKIPPED):
            failed += 1
            print(f"FAILED {check.stem}: exit code {done.returncode}", flush=True)
    print(f"hosts: {passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
