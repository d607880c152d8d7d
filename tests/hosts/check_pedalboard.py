"""pedalboard: a host that gives no transport. Notes are passed through without a sound, no take comes
of them, and the plugin's state comes back byte for byte. The listening plugin passes sound on bit for bit.
"""

import mido
import numpy as np
import pedalboard
from common import SCRATCH, VST3, Differs, finish, inside_juce, notes, reviews_of_state


def load(name: str):
    return pedalboard.load_plugin(str(VST3), plugin_name=name, initialization_timeout=0.1)


def passes_sound_on() -> None:
    plugin = load("Overbar Listen")
    sound = np.random.default_rng(7).uniform(-1, 1, (2, 30_000)).astype(np.float32)
    for block in (64, 8_192):
        if not np.array_equal(plugin(sound, 44_100, buffer_size=block), sound):
            raise Differs(f"Overbar Listen changes the sound in blocks of {block}")


def check() -> str:
    passes_sound_on()
    # It waits for an instrument to sound, which this one never does.
    plugin = load("Overbar")
    if not plugin.is_instrument:
        raise Differs("it is not an instrument")
    messages = []
    for on, off, key in notes():
        messages.append(mido.Message("note_on", note=key, velocity=90, time=on * 60 / 132))
        messages.append(mido.Message("note_off", note=key, velocity=0, time=off * 60 / 132))
    rates = (8_000, 44_100, 192_000)
    for rate in rates:
        for block in (1, 64, 8_192):
            # One sample at a time is slow in this host.
            seconds = 18 if block > 1 else 0.2
            sound = plugin(messages, duration=seconds, sample_rate=rate, buffer_size=block)
            if np.abs(sound).max() != 0 or not np.isfinite(sound).all():
                raise Differs(f"{rate} Hz, blocks of {block}: the output is not silent")
    state = plugin.raw_state
    if reviews_of_state(inside_juce(state), "pedalboard"):
        raise Differs("a take without a transport")
    other = load("Overbar")
    other.raw_state = state
    if other.raw_state != state:
        raise Differs("the state comes back otherwise")
    (SCRATCH / "pedalboard.state").write_bytes(state)
    return f"{len(notes())} notes at {3 * len(rates)} settings: silent, no take, state byte for byte"


finish("check_pedalboard", check)
