"""Ardour, without a display or a sound card: it loads the plugin, plays a loop and a take with changes of
tempo and metre, saves, loads and saves again. The phrases in the saved state are those of the
same take as a file.
"""

from xml.etree import ElementTree

import ardour
from common import (
    METRES,
    SCRATCH,
    TEMPI,
    Differs,
    NotHere,
    chunk_of,
    finish,
    review_of_file,
    reviews_of_state,
    same_phrases,
    write_take,
)

LOOP = (4, 12)
# A pass of fewer notes is not distinguished from one that is played: `core/src/take/playback.rs`.
MIN_NOTES = 6
# The take is over by then: 22 beats at 132 and 16 at 160 a minute.
LAST_SECOND = 18


def add_the_take_and_a_loop() -> None:
    root = ardour.add_the_take()
    start, end = (round(beat * 60 / 132 * ardour.SUPERCLOCKS) for beat in LOOP)
    loop = {
        "id": "9004", "name": "Loop", "start": f"a{start}", "end": f"a{end}",
        "flags": "IsAutoLoop,IsHidden", "locked": "0", "timestamp": "0",
    }
    ElementTree.SubElement(root.find("Locations"), "Location", loop)
    ardour.write(root)


def check() -> str:
    take = SCRATCH / "take.mid"
    write_take(take, TEMPI, METRES)
    expected = review_of_file(take)
    why = ardour.is_missing()
    if why:
        raise NotHere(why)
    environment = ardour.home()
    ardour.make(environment, "solo")
    add_the_take_and_a_loop()
    ardour.run("play_session.lua", environment, LAST_SECOND, 12)
    first = chunk_of(ardour.FILE)
    reviews = reviews_of_state(first, "first")
    whole = [one for one in reviews if one["notes"] == expected["notes"]]
    if len(whole) != 1:
        raise Differs(f"takes of {[one['notes'] for one in reviews]} notes, not one of {expected['notes']}")
    same_phrases(whole[0], expected, "played through")
    # The first round is new; the others play back what is known then, and are no takes. Where the last
    # one is broken off it may have too few notes to be known again.
    rounds = [one for one in reviews if one is not whole[0] and one["notes"] >= MIN_NOTES]
    if len(rounds) != 1 or not 0 < rounds[0]["notes"] < expected["notes"]:
        raise Differs(f"takes of {[one['notes'] for one in rounds]} notes in the loop, not one of its own")
    # Loaded, stopped and saved: nothing is lost, nothing is doubled.
    ardour.run("play_session.lua", environment, 0, 0)
    again = reviews_of_state(chunk_of(ardour.FILE), "again")
    if again != reviews:
        raise Differs(f"after loading and saving there are {len(again)} takes, not {len(reviews)}")
    return f"{len(expected['phrases'])} phrases as in the file, the first round of a loop is a take, saved twice"


finish("check_ardour", check)
