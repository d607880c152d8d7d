"""Simulated colour vision against colorspacious.

Compares the matrices that the panel's test of its colours has (`tests/tests/panel/colours.rs`)
with those that colorspacious 1.1.2 gives for full severity, number by number. Source: Machado,
Oliveira and Fernandes 2009, as colorspacious carries their table.
"""

import re
from pathlib import Path

import colorspacious
from colorspacious.cvd import machado_et_al_2009_matrix

from common import end, near

TEST = Path(__file__).resolve().parent.parent / "tests/panel/colours.rs"
KINDS = {
    "protanopia": "protanomaly",
    "deuteranopia": "deuteranomaly",
    "tritanopia": "tritanomaly",
}
NUMBER = r"-?\d+\.\d+"


def check() -> str:
    text = TEST.read_text()
    for vision, kind in KINDS.items():
        place = text.index(f'"{vision}"')
        found = [float(number) for number in re.findall(NUMBER, text[place:])[:9]]
        wanted = machado_et_al_2009_matrix(kind, 100).reshape(-1)
        for index, (ours, theirs) in enumerate(zip(found, wanted, strict=True)):
            near(ours, float(theirs), 5e-7, f"{vision}, number {index + 1}")
    return f"{len(KINDS)} matrices agree with colorspacious {colorspacious.__version__}"


end("colours", check)
