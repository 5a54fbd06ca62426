"""The sound file heard by a detector that knows nothing of the renderer."""

import io
import sys
import time
import wave
from array import array
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.trays.cues import TONES, cues_of, schedule, tone
from firstsheet.trays.process import process_for
from firstsheet.trays.soundtrack import render_wav

RATE = 8000
QUIET_S = 0.4  # a new cue follows at least so much silence; the notes within one cue are closer
MS = 0.001


def heard(wav):
    """Samples and the onsets [s] of whatever follows a silence."""
    with wave.open(io.BytesIO(wav)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        samples = array("h", file.readframes(file.getnframes()))
    if sys.byteorder == "big":
        samples.byteswap()
    onsets, last = [], -1e9
    for i, value in enumerate(samples):
        if abs(value) > 300:
            if i - last > QUIET_S * RATE:
                onsets.append(i / RATE)
            last = i
    return samples, onsets


def bursts(samples, from_s, to_s):
    """How many separate sounds in a stretch: silence of 5 ms parts them."""
    count, last = 0, -1e9
    for i in range(round(from_s * RATE), min(len(samples), round(to_s * RATE))):
        if abs(samples[i]) > 300:
            count += i - last > 0.005 * RATE
            last = i
    return count


COLOUR = process_for("reversal_ra4", "ra4", "colour")


def test_every_cue_of_a_colour_run_is_heard_at_its_time():
    cues = schedule(COLOUR, lead_s=60)
    samples, onsets = heard(render_wav(cues, RATE))
    assert len(onsets) == len(cues)
    assert max(abs(a - c.at_s) for a, c in zip(onsets, cues, strict=True)) < MS
    assert max(samples) < 32767
    assert min(samples) > -32767


def test_the_step_is_told_by_counted_pips():
    cues = schedule(COLOUR)
    samples, _ = heard(render_wav(cues, RATE))
    told = [bursts(samples, c.at_s, c.at_s + 2.5) for c in cues if c.kind == "start"]
    assert told == [1, 2, 3, 4, 5, 6, 7, 8]


def test_the_times_of_a_run_added_up_by_hand():
    run = process_for("paper_negative", seconds={"developer": 120, "stop": 30, "fix": 120, "wash": 240})
    firm = [(c.kind, c.at_s) for c in schedule(run) if c.kind in ("start", "lift", "drain_end")]
    assert firm == [
        ("start", 0),
        ("lift", 120),
        ("start", 130),
        ("lift", 160),
        ("start", 170),
        ("lift", 290),
        ("start", 300),
        ("lift", 540),
        ("drain_end", 550),
    ]
    ready = [c.at_s for c in schedule(run) if c.kind == "ready"]
    assert ready == [110, 150, 280, 530]


def test_a_soft_tick_every_ten_seconds_between():
    step = process_for("paper_negative", seconds={"developer": 60}).steps[0]
    ticks = [
        c.at_s for c in cues_of(process_for("paper_negative", seconds={"developer": 60}), step) if c.kind == "tick"
    ]
    assert ticks[:4] == [10, 20, 30, 40]  # 50 is "ready", 60 is "lift"
    assert 50 not in ticks
    assert 60 not in ticks


@given(
    st.lists(st.floats(min_value=5, max_value=300), min_size=4, max_size=4),
    st.sampled_from([0.0, 20.0, 60.0]),
)
@settings(max_examples=15, deadline=None)
def test_any_times_stay_apart_and_in_order(seconds, lead_s):
    keys = ("developer", "stop", "fix", "wash")
    cues = schedule(process_for("paper_negative", seconds=dict(zip(keys, seconds, strict=True))), lead_s)
    assert all(b.at_s - a.at_s > 0.99 for a, b in pairwise(cues))
    _, onsets = heard(render_wav(cues, RATE))
    assert len(onsets) == len(cues)
    assert max(abs(a - c.at_s) for a, c in zip(onsets, cues, strict=True)) < MS


def test_no_two_kinds_sound_alike():
    shapes = [tone(kind) for kind in TONES] + [tone("start", n) for n in range(1, 9)]
    assert len(set(shapes)) == len(shapes)


def test_fifteen_minutes_are_rendered_within_a_second():
    cues = schedule(process_for("paper_negative", seconds={"wash": 600}), lead_s=60)
    assert cues[-1].at_s > 14 * 60
    began = time.perf_counter()
    render_wav(cues, RATE)
    assert time.perf_counter() - began < 1.0


@pytest.mark.parametrize("rate", [8000, 44100])
def test_an_empty_schedule_is_a_short_silence(rate):
    with wave.open(io.BytesIO(render_wav((), rate))) as file:
        assert file.getnframes() == 2 * rate
