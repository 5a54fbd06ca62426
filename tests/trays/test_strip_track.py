"""A strip led by ear, heard by a detector that knows the plan alone: every cue begins within a millisecond of it."""

from __future__ import annotations

import io
import math
import sys
import wave
from array import array
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.refusal import Refusal
from firstsheet.tables import load
from firstsheet.trays import voice
from firstsheet.trays.soundtrack import render_spoken
from firstsheet.trays.striptrack import StripTrack, strip_track

RATE = 8000
LOUD = 300  # of 32767
MS = 0.001


def heard(track: StripTrack) -> array[int]:
    with wave.open(io.BytesIO(render_spoken(track.cues, track.total_s))) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        samples = array("h", file.readframes(file.getnframes()))
    if sys.byteorder == "big":
        samples.byteswap()
    return samples


def onset_near(samples: array[int], at_s: float) -> float | None:
    """Where sound begins after 30 ms of silence, looked for 20 ms either way of `at_s` [s]."""
    quiet = 0
    for i in range(round((at_s - 0.05) * RATE), round((at_s + 0.02) * RATE)):
        if abs(samples[i]) <= LOUD:
            quiet += 1
        elif quiet >= 0.03 * RATE:
            return i / RATE
        else:
            quiet = 0
    return None


def moves(steps: int, factor: float, first_s: float) -> list[tuple[int, float]]:
    """All open for the first, then one more covered each time: step k has had first·factor^k in all (its definition)."""
    whole = [first_s * factor**k for k in range(steps)]
    return [(steps, first_s)] + [(steps - k, whole[k] - whole[k - 1]) for k in range(1, steps)]


TRACKS = [
    strip_track(moves(9, math.sqrt(2.0), 2.5), "cap"),
    strip_track(moves(7, 2.0, 1.0), "lamp"),
    strip_track(moves(13, math.sqrt(2.0), 1.0), "cap"),
    strip_track([(21, 95.0)], "tablet"),
    strip_track([(21, 8.0)], "tablet"),
    strip_track(moves(7, 2.0, 1.0), "cap", no_light=True),
]


@pytest.mark.parametrize("track", TRACKS, ids=lambda t: f"{t.how} {len(t.openings)}")
def test_every_cue_is_heard_within_a_millisecond_of_its_plan(track: StripTrack) -> None:
    samples = heard(track)
    found = [(c, onset_near(samples, c.at_s)) for c in track.cues]
    assert not [c.words for c, at in found if at is None]
    assert max(abs(at - c.at_s) for c, at in found if at is not None) < MS
    assert max(samples) < 32767
    assert min(samples) > -32767


@pytest.mark.parametrize(("steps", "factor", "first_s"), [(9, math.sqrt(2.0), 2.5), (7, 2.0, 1.0)])
def test_the_light_between_the_tones_is_the_exposure_of_each_step(steps: int, factor: float, first_s: float) -> None:
    """Measured in the file from tone to tone, added up: first·factor^k, to a millisecond an opening."""
    track = strip_track(moves(steps, factor, first_s), "lamp")
    samples = heard(track)
    whole = 0.0
    for k, o in enumerate(track.openings):
        begin, end = onset_near(samples, o.open_s), onset_near(samples, o.close_s)
        assert begin is not None
        assert end is not None
        whole += end - begin
        assert whole == pytest.approx(first_s * factor**k, abs=MS * (k + 1))
        assert o.whole_s == pytest.approx(first_s * factor**k)
        assert o.open_steps == steps - k


def test_the_order_is_hold_uncover_count_cap_move() -> None:
    track = strip_track(moves(3, 2.0, 4.0), "cap")
    words = [c.words for c in track.cues if c.tone != "tick"]
    assert words[:6] == [
        "If anything happens, white light first", "Test strip three steps", "The lens is capped",
        "Only the light this paper allows", "Paper on the board, emulsion to the lens",
        "Hold the card beside the strip, nothing covered",
    ]  # fmt: skip
    one = ["Uncover the lens at the tone", "three", "two", "one", "(tone: light on)", "three", "two", "one", "cap"]
    assert words[6:17] == [*one, "Move the card one step", "two steps are open"]
    assert words[-1].startswith("Done. The lens is capped.")


def test_seconds_left_are_told_on_whole_seconds_before_the_end() -> None:
    """95 s: one minute, then tens, then each of the last ten; counted back from the end by hand."""
    (o,) = TRACKS[3].openings
    told = [(round(o.close_s - c.at_s, 6), c.words) for c in TRACKS[3].cues if o.open_s < c.at_s < o.close_s]
    names = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
    by_hand = [
        (90, "(tick)"),
        (80, "(tick)"),
        (70, "(tick)"),
        (60, "one minute"),
        (50, "fifty"),
        (40, "forty"),
        (30, "thirty"),
        (20, "twenty"),
    ]
    assert told == by_hand + [(n, names[n - 1]) for n in range(10, 0, -1)]


@given(st.integers(1, 20), st.floats(1.05, 4.0), st.floats(0.3, 60.0), st.sampled_from(["cap", "lamp"]))
@settings(max_examples=60, deadline=None)
def test_no_cue_talks_into_another(steps: int, factor: float, first_s: float, how: str) -> None:
    plan = moves(steps, factor, first_s)
    if any(not 0.05 <= t <= 3600 for _, t in plan):
        with pytest.raises(Refusal):
            strip_track(plan, how)  # type: ignore[arg-type]
        return
    track = strip_track(plan, how)  # type: ignore[arg-type]
    for a, b in pairwise(track.cues):
        lasts = a.after_s + voice.lasts_s(a.clips) if a.clips else 0.03 if a.tone == "tick" else 0.3
        if a.tone == "open" and b.tone == "close":
            continue  # an opening shorter than its tone: the end is what counts
        assert b.at_s - a.at_s >= lasts, (a, b)


@pytest.mark.parametrize("track", TRACKS, ids=lambda t: f"{t.how} {len(t.openings)}")
def test_no_eleven_seconds_are_silent(track: StripTrack) -> None:
    """A tick every ten seconds, left out only within a second of another cue: its absence is how a stopped sound is noticed."""
    assert all(b.at_s - a.at_s < 11.0 for a, b in pairwise(track.cues))


def test_without_a_move_or_with_one_that_cannot_be_there_is_no_track() -> None:
    for wrong in ([], [(3, 0.0)], [(3, float("nan"))], [(3, 4000.0)], [(41 - k, 1.0) for k in range(41)]):
        with pytest.raises(Refusal):
            strip_track(wrong, "cap")


@pytest.mark.parametrize("key", sorted(load("voice")["clips"]))
def test_a_clip_begins_with_sound_and_ends_in_time(key: str) -> None:
    samples = voice.clip(key, RATE)
    assert abs(samples[0]) > LOUD
    assert 0.25 < max(abs(s) for s in samples) / 32767 < 0.8
    if key[1:].isdigit():
        assert len(samples) / RATE < 0.7 + 0.02  # a number fits into a second
    if key in {f"n{n}" for n in range(1, 11)}:
        assert len(samples) / RATE < 0.55


def test_numbers_are_put_together_as_they_are_said() -> None:
    assert [voice.said(voice.number(n)) for n in (1, 10, 19, 20, 21, 40, 59)] == [
        "one", "ten", "nineteen", "twenty", "twenty one", "forty", "fifty nine",
    ]  # fmt: skip
    for wrong in (0, 60):
        with pytest.raises(ValueError, match="1 to 59"):
            voice.number(wrong)


@pytest.mark.parametrize(
    ("how", "plan"), [("cap", moves(5, 2.0, 1.0)), ("lamp", moves(5, 2.0, 1.0)), ("tablet", [(21, 8.0)])]
)
def test_a_paper_that_bears_no_light_is_told_so_before_its_box_is_opened(
    how: str, plan: list[tuple[int, float]]
) -> None:
    """Colour paper sees every colour of lamp: it is handled in total darkness (common practice, no source)."""
    words = [c.words for c in strip_track(plan, how, no_light=True).cues]  # type: ignore[arg-type]
    dark = words.index("No light at all, not even red")
    assert words[dark - 1].startswith("Screen off")
    assert dark < next(i for i, w in enumerate(words) if "aper" in w)
    assert not any("light this paper allows" in w for w in words)
    assert not any("not even red" in c.words for c in strip_track(plan, how).cues)  # type: ignore[arg-type]
