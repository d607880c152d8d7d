"""The workflow for other systems: it parses, and builds with the toolchain that the workspace states.

Source: YAML 1.1 as PyYAML reads it.
"""

import re
from pathlib import Path

import yaml
from common import Differs, end, equal

ROOT = Path(__file__).resolve().parent.parent.parent


def check() -> str:
    path = ROOT / ".github/workflows/packages.yml"
    text = path.read_text()
    if "UNTESTED" not in text:
        raise Differs("the workflow does not say that it is untested")
    workflow = yaml.safe_load(text)
    job = workflow["jobs"]["package"]
    equal(job["strategy"]["matrix"]["os"], ["windows-latest", "macos-latest"], "systems")
    stated = re.search(r'^rust-version = "([\d.]+)"', (ROOT / "Cargo.toml").read_text(), re.M)
    if stated is None:
        raise Differs("the workspace states no rust-version")
    commands = [step["run"] for step in job["steps"] if "run" in step]
    for command in commands:
        for version in re.findall(r"(?:\+|install )([\d.]+)", command):
            equal(version.removesuffix(".0"), stated[1], f"toolchain of {command!r}")
    return f"{len(commands)} commands on {len(job['strategy']['matrix']['os'])} systems"


end("check_workflow", check)
