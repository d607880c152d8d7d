"""The music font's glyphs against those that verovio brings.

`music.ttf` is cut from Leipzig, the font inside the package verovio (6.4.1, PyPI; SIL Open Font License).
Each glyph has to have the same outline and width. `--write` cuts it anew.
"""

import base64
import io
import re
import sys
from pathlib import Path

import verovio
from fontTools import subset
from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont

from common import end, equal

FONT = Path(__file__).parents[2] / "core/src/output/engraving/music.ttf"
# Code points of SMuFL 1.4: clefs, metres, heads, dot, flags, accidentals, staccato, rests, tuplets.
GLYPHS = [
    *(0xE050, 0xE062, 0xE0A0, 0xE0A2, 0xE0A3, 0xE0A4, 0xE1E7, 0xE4A2, 0xE4A3),
    *range(0xE080, 0xE08A),
    *range(0xE240, 0xE24C),
    *range(0xE260, 0xE265),
    *range(0xE4E2, 0xE4EC),
    *range(0xE880, 0xE88A),
]


def leipzig() -> TTFont:
    css = (Path(verovio.__file__).parent / "data/Leipzig.css").read_text()
    font = re.search(r"base64,([^)'\"]+)", css).group(1)
    return TTFont(io.BytesIO(base64.b64decode(font)))


def write() -> None:
    font = leipzig()
    options = subset.Options()
    options.hinting = False
    options.name_IDs = []
    options.drop_tables += ["FFTM", "GDEF", "gasp"]
    options.notdef_outline = False
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=GLYPHS)
    cutter.subset(font)
    font.flavor = None
    family, licence = "Overbar Music", "SIL Open Font License 1.1"
    names = {1: family, 2: "Regular", 4: family, 6: "OverbarMusic", 13: licence}
    for number, text in names.items():
        font["name"].setName(text, number, 3, 1, 0x409)
    font.recalcTimestamp = False
    font.save(FONT)


def drawn(font: TTFont, code: int):
    name = font.getBestCmap()[code]
    pen = RecordingPen()
    font.getGlyphSet()[name].draw(pen)
    return pen.value, font["hmtx"][name][0]


def check() -> str:
    if "--write" in sys.argv:
        write()
    ours, theirs = TTFont(FONT), leipzig()
    equal(sorted(ours.getBestCmap()), sorted(GLYPHS), "the glyphs in the font")
    for code in GLYPHS:
        equal(drawn(ours, code), drawn(theirs, code), f"glyph {code:X}")
    return f"{len(GLYPHS)} glyphs are as verovio {verovio.toolkit().getVersion()} has them"


end("music font", check)
