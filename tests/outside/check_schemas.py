"""What `overbar COMMAND --json` writes, held to the schemas by jsonschema.

Runs every command that has `--json` over invented solos, and over the labelled ones where they are there, and
checks that each line holds to core/cli/schemas/COMMAND.schema.json (JSON Schema 2020-12). A field that is
not described there does not pass. So does the file of anchors that `--write-anchors` leaves. Some are run over
takes on beats of their own as well.
"""

import json
from pathlib import Path

from jsonschema import Draft202012Validator

from common import SCRATCH, SOLOS, Differs, end, overbar, xtask
from invent import File

SCHEMAS = Path(__file__).parents[2] / "core/cli/schemas"
DRILLS = ["line quarter", "entry 1&,3&", "exit off the beat", "exit over the bar line", "long 2", "rest 2", "rest 30%"]


def taps(path: Path) -> Path:
    file = File(0, 480)
    file.metre(0, (4, 4))
    file.tempo(0, 120)
    for beat in range(4, 24):
        file.burst([beat * 480 + 12], beat * 480 + 300, 60)
    file.write(path)
    return path


def a_class(folder: Path, solos: list[Path]) -> Path:
    folder.mkdir()
    index = ["student,date,tune,file"]
    for number, solo in enumerate(solos):
        (folder / solo.name).write_bytes(solo.read_bytes())
        student = ("Ada", "Ben")[number % 2]
        index.append(f"{student},2026-03-{1 + number:02},Low Tide,{solo.name}")
    (folder / "index.csv").write_text("\n".join(index) + "\n")
    drills = "student,date,tune,drill,met,due\nAda,2026-03-03,Low Tide,entry 4&,9,12\n"
    (folder / "drills.csv").write_text(drills)
    return folder


def calls(solos: list[Path]) -> list[list]:
    chart = SCRATCH / "chart.txt"
    chart.write_text("| Cm7 | F7 | Bbmaj7 | % |\n")
    first = solos[0]
    folders = [SCRATCH / "solos/midi"] + ([SOLOS / "midi"] if SOLOS.is_dir() else [])
    return [
        ["review", *folders],
        ["review", *folders, "--line", "all"],
        ["compare", *solos[:8]],
        ["comp", *solos[:4], "--form", 8],
        ["advice", *folders],
        ["chords", first, "--chart", chart],
        ["progress", a_class(SCRATCH / "class", solos[:24])],
        ["calibrate", taps(SCRATCH / "taps.mid")],
        ["export", first, "--out", SCRATCH / "exported"],
    ]


def without_click(solos: list[Path]) -> list[list]:
    """The same over takes with anchors, which leave most beats bridged."""
    grids = SCRATCH / "grids"
    grids.mkdir()
    anchors = [{"second": 2, "bar": 1, "beat": 1}, {"second": 14, "bar": 9, "beat": 1}]
    for solo in solos:
        text = json.dumps({"format": 1, "metre": "4/4", "anchors": anchors})
        (grids / f"{solo.stem}.anchors.json").write_text(text)
    of_each = ["--anchors", grids]
    return [
        ["compare", *solos, *of_each],
        ["comp", *solos, "--form", 8, *of_each],
        ["advice", *solos, *of_each],
        ["chords", solos[0], "--chart", SCRATCH / "chart.txt", *of_each],
        ["drill", solos[0], "--form", 8, "--drill", "rest 2", "--pass", 0, *of_each],
        ["progress", SCRATCH / "class", *of_each],
    ]


def check() -> str:
    xtask("perform", SCRATCH / "solos", "--solos", 30, "--bars", 32, "--seed", 21, "--glitches", "0.03")
    solos = sorted((SCRATCH / "solos/midi").glob("*.mid"))
    objects = 0
    all_calls = calls(solos) + without_click(solos[:4])
    ran = [(call[0], overbar(*call, "--json")) for call in all_calls]
    drill = ["drill", solos[0], "--form", 8]
    # A drill that was not passed ends with exit code 1.
    ran += [("drill", overbar(*drill, "--drill", each, "--pass", 0, "--json")) for each in DRILLS]
    anchors = SCRATCH / "anchors.json"
    tapped = ["--taps", SCRATCH / "taps.mid", "--write-anchors", anchors]
    ran.append(("review", overbar("review", solos[0], *tapped, "--json")))
    ran.append(("anchors", json.dumps(json.loads(anchors.read_text(encoding="utf-8")))))
    for command, output in ran:
        schema = json.loads((SCHEMAS / f"{command}.schema.json").read_text(encoding="utf-8"))
        validator = Draft202012Validator(schema)
        for line in output.splitlines():
            for error in validator.iter_errors(json.loads(line)):
                raise Differs(f"{command}: {'/'.join(map(str, error.path))}: {error.message}")
            objects += 1
    names = {path.name.split(".")[0] for path in SCHEMAS.glob("*.json")}
    if names != {command for command, _ in ran}:
        raise Differs(f"schemas and commands: {sorted(names)}")
    return f"{objects} objects of {len(names)} kinds hold to their schemas"


end("schemas", check)
