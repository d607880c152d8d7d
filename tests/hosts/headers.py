"""What the stand-alone program is built with: the headers of ALSA and JACK."""

import shutil
import subprocess

PACKAGES = ["pkg-config", "libasound2-dev", "libjack-jackd2-dev"]


def are_here() -> bool:
    if not shutil.which("pkg-config"):
        return False
    return subprocess.run(["pkg-config", "--exists", "alsa", "jack"], check=False).returncode == 0
