"""What leaves the program, read by mido, pandas and jsonschema.

Exports invented files with `review --export` and checks that
- mido reads the same notes, tempi and metres from the exported file as from the invented one, in
  quarter notes within half a tick of either file, and a marker at the entry of every phrase;
- pandas reads both tables, with the columns and kinds that are documented, and the numbers of the
  document;
- the document holds to its schema (JSON Schema 2020-12, core/src/output/export/take.schema.json), also of
  takes on anchors of their own and of a recording, whose heard notes it has;
- a file whose name is a formula comes out as text.
"""

import json
import math
import random
import wave
from pathlib import Path

import mido
import pandas
from jsonschema import Draft202012Validator

from common import SCRATCH, end, equal, near, notes_of, overbar
from invent import METRES, File

SCHEMA = Path(__file__).parents[2] / "core/src/output/export/take.schema.json"
FORM = ["--form", "8", "--sections", "A4 B4", "--chords", "| Cm7 | F7 | % | % | Cm7 | F7 | % | % |"]


def invent(rng: random.Random, index: int) -> Path:
    resolution = rng.choice([96, 480, 960])
    file = File(index % 2, resolution)
    metre = list(METRES)[index % len(METRES)]
    quarters = METRES[metre][0]
    file.metre(0, metre)
    for bar in (0, 8, 16):
        file.tempo(round(bar * quarters * resolution), rng.choice([90, 120, 160]))
    for bar in range(0, 24, 2):
        start = round((bar * quarters + rng.choice([0, 0.5, 1.0, 1.5])) * resolution)
        step = resolution // 4
        count = rng.randint(2, 4)
        file.burst([start + step * k for k in range(count)], start + step * count, 60)
    name = "=1+1.mid" if index == 0 else f"solo-{index:02}.mid"
    file.write(SCRATCH / "solos" / name)
    return SCRATCH / "solos" / name


def changes(path: Path, kind: str) -> list[tuple[float, tuple]]:
    """Changes of tempo or metre by quarter note; one that says nothing new is left out."""
    file = mido.MidiFile(path)
    found, ticks = [], 0
    for message in file.merged_track:
        ticks += message.time
        if message.type == kind:
            value = (message.tempo,) if kind == "set_tempo" else (message.numerator, message.denominator)
            if not found or found[-1][1] != value:
                found.append((ticks / file.ticks_per_beat, value))
    return found


def markers(path: Path) -> list[tuple[float, str]]:
    file = mido.MidiFile(path)
    found, ticks = [], 0
    for message in file.merged_track:
        ticks += message.time
        if message.type == "marker":
            found.append((ticks / file.ticks_per_beat, message.text))
    return found


def same_midi(source: Path, out: Path, document: dict) -> int:
    before, after = notes_of(source), notes_of(out)
    ours, theirs = mido.MidiFile(out).ticks_per_beat, mido.MidiFile(source).ticks_per_beat
    half = 0.5 / ours + 0.5 / theirs
    equal(len(after), len(before), f"{out.name}: notes")
    for one, other in zip(before, after, strict=True):
        equal(other.key, one.key, f"{out.name}: key")
        near(other.tick / ours, one.tick / theirs, half, f"{out.name}: attack")
        near(other.end_tick / ours, one.end_tick / theirs, half, f"{out.name}: end")
        near(other.on, one.on, 0.002, f"{out.name}: attack in seconds")
    for kind in ("set_tempo", "time_signature"):
        equal(changes(out, kind), changes(source, kind), f"{out.name}: {kind}")
    found = markers(out)
    equal(len(found), len(document["phrases"]), f"{out.name}: markers")
    onsets = {note.tick / ours for note in after}
    for (place, text), phrase in zip(found, document["phrases"], strict=True):
        begun = f"{phrase['phrase']}: {phrase['entry_place']}, "
        equal(text.startswith(begun) and text.endswith(" bars"), True, f"{out.name}: {text!r}")
        length = text.removeprefix(begun).removesuffix(" bars")
        near(float(length), phrase["bars"], 0.051, f"{out.name}: length in {text!r}")
        equal(place in onsets, True, f"{out.name}: a note at the marker {text!r}")
    return len(found)


def same_tables(folder: Path, stem: str, document: dict) -> None:
    phrases = pandas.read_csv(folder / f"{stem}.phrases.csv", keep_default_na=False, na_values=[""])
    fields = list(document["phrases"][0])
    grid = document["grid"] or {"source": "host", "bridged": 0, "about": False}
    beats = ["beats_from", "bridged"]
    equal(list(phrases.columns), ["version", "take", *fields, *beats], f"{stem}: columns")
    equal(len(phrases), len(document["phrases"]), f"{stem}: lines")
    equal(set(phrases["version"]), {1}, f"{stem}: version")
    guarded = f"'{document['name']}" if document["name"].startswith("=") else document["name"]
    equal(set(phrases["take"]), {guarded}, f"{stem}: take")
    for line, row in zip(phrases.to_dict("records"), document["phrases"], strict=True):
        for field, value in row.items():
            got = line[field]
            if value is None or value == "":
                equal(bool(pandas.isna(got)), True, f"{stem}: {field}")
            elif isinstance(value, str):
                equal(str(got), value, f"{stem}: {field}")
            else:
                near(float(got), float(value), 1e-9, f"{stem}: {field}")
    figures = pandas.read_csv(folder / f"{stem}.figures.csv")
    for table in (phrases, figures):
        equal(set(table["beats_from"]), {grid["source"]}, f"{stem}: where the beats come from")
        equal(set(table["about"]), {int(grid["about"])}, f"{stem}: about")
        near(table["bridged"].iloc[0], grid["bridged"], 1e-6, f"{stem}: share bridged")
    parts = [document["figures"], *(p["figures"] for p in document["choruses"] + document["sections"])]
    equal(len(figures), len(parts), f"{stem}: parts")
    for line, part in zip(figures.to_dict("records"), parts, strict=True):
        for share in ("off_beat_entries", "beat_one_entries", "off_beat_exits", "over_the_bar"):
            equal(line[f"{share}_count"], part[share]["count"], f"{stem}: {share}")
            if part[share]["low"] is not None:
                near(line[f"{share}_low"], part[share]["low"], 1e-6, f"{stem}: {share}")
        equal(line["phrases"], part["phrases"], f"{stem}: phrases")


def on_anchors(solos: list[Path], schema: Draft202012Validator) -> int:
    """Takes on two anchors each, which leave most beats bridged."""
    grids, out = SCRATCH / "grids", SCRATCH / "on anchors"
    grids.mkdir()
    for solo in solos:
        anchors = [{"second": 1.5, "bar": 1, "beat": 1}, {"second": 17.5, "bar": 9, "beat": 1}]
        text = json.dumps({"format": 1, "metre": "4/4", "anchors": anchors})
        (grids / f"{solo.stem}.anchors.json").write_text(text)
    overbar("export", *solos, "--anchors", grids, "--out", out)
    for solo in solos:
        document = json.loads((out / f"{solo.stem}.json").read_text())
        schema.validate(document)
        equal(document["grid"]["source"], "hand", f"{solo.stem}: where the beats come from")
        same_tables(out, solo.stem, document)
        texts = [text for _, text in markers(out / f"{solo.stem}.mid")]
        equal(all(": about " in text for text in texts), document["grid"]["about"], f"{solo.stem}: markers")
    return len(solos)


def recorded(schema: Draft202012Validator) -> int:
    """Eight tones of a quarter of a second."""
    rate, keys = 22_050, [60, 62, 64, 65, 67, 69, 71, 72]
    samples = bytearray()
    for key in keys:
        hertz = 440 * 2 ** ((key - 69) / 12)
        for at in range(rate // 2):
            swell = min(1.0, at / 100, max(0.0, rate / 4 - at) / 500)
            tone = sum(math.sin(math.tau * hertz * n * at / rate) / n for n in range(1, 6))
            samples += int(9_000 * swell * tone).to_bytes(2, "little", signed=True)
    path, out = SCRATCH / "tones.wav", SCRATCH / "recorded"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, rate, 0, "NONE", ""))
        file.writeframes(bytes(samples))
    overbar("export", path, "--bpm", 120, "--out", out)
    document = json.loads((out / "tones.json").read_text())
    schema.validate(document)
    equal(document["source"], "audio", "the source of a recording")
    heard = document["recording"]["heard_notes"]
    equal([note["key"] for note in heard], keys, "heard keys")
    equal(all(0 < note["confidence"] <= 1 for note in heard), True, "confidence of heard notes")
    return len(heard)


def check() -> str:
    rng = random.Random(3)
    (SCRATCH / "solos").mkdir()
    sources = [invent(rng, index) for index in range(len(METRES) * 2)]
    out = SCRATCH / "out"
    overbar("review", SCRATCH / "solos", "--export", out, *FORM)
    schema = Draft202012Validator(json.loads(SCHEMA.read_text()))
    marked = 0
    for source in sources:
        document = json.loads((out / f"{source.stem}.json").read_text())
        schema.validate(document)
        marked += same_midi(source, out / f"{source.stem}.mid", document)
        same_tables(out, source.stem, document)
    summary = f"{len(sources)} files read back by mido with {marked} markers"
    summary += f", {on_anchors(sources[1:4], schema)} on anchors, {recorded(schema)} heard notes"
    return f"{summary}, their tables by pandas {pandas.__version__}, documents hold to the schema"


end("export", check)
