"""dawdreamer: sample rates from 8 to 192 kHz, blocks from 1 to 8192. What the plugin
heard is what the same notes are as a file.

This host is always in 4/4, and notes are given to it in beats of one tempo.
"""

import dawdreamer
import numpy as np
from common import (
    END,
    SCRATCH,
    TEMPI,
    VST3,
    Differs,
    finish,
    inside_juce,
    notes,
    review_of_file,
    reviews_of_state,
    write_take,
)

RATES = (8_000, 22_050, 44_100, 48_000, 96_000, 192_000)
BLOCKS = (1, 16, 64, 512, 1_024, 8_192)


def heard(rate: int, block: int) -> dict:
    engine = dawdreamer.RenderEngine(rate, block)
    plugin = engine.make_plugin_processor("overbar", str(VST3))
    tempo = TEMPI[0][1]
    engine.set_bpm(tempo)
    for on, off, key in notes():
        plugin.add_midi_note(key, 90, on, off - on, beats=True)
    engine.load_graph([(plugin, [])])
    engine.render(END * 60 / tempo)
    sound = engine.get_audio()
    if np.abs(sound).max() != 0 or not np.isfinite(sound).all():
        raise Differs(f"{rate} Hz, blocks of {block}: the output is not silent")
    path = SCRATCH / "dawdreamer.state"
    plugin.save_state(str(path))
    reviews = reviews_of_state(inside_juce(path.read_bytes()), f"dawdreamer-{rate}-{block}")
    if len(reviews) != 1:
        raise Differs(f"{rate} Hz, blocks of {block}: {len(reviews)} takes")
    return reviews[0]


def phrases_of(review: dict) -> list[tuple]:
    """Notes and places of the phrases."""
    return [
        (p["first_note"], p["last_note"], p["entry"]["bar"], p["entry"]["class"], p["exit"]["class"])
        for p in review["phrases"]
    ]


def check() -> str:
    settings = [(rate, 512) for rate in RATES] + [(48_000, block) for block in BLOCKS]
    take = SCRATCH / "take.mid"
    write_take(take, TEMPI[:1], [])
    expected = phrases_of(review_of_file(take))
    for rate, block in settings:
        review = heard(rate, block)
        if review["notes"] != len(notes()):
            raise Differs(f"{rate} Hz, blocks of {block}: {review['notes']} notes of {len(notes())}")
        phrases = phrases_of(review)
        if phrases != expected:
            raise Differs(f"{rate} Hz, blocks of {block}: {phrases}, not {expected}")
    return f"{len(expected)} phrases as in the file at {len(settings)} settings"


finish("check_dawdreamer", check)
