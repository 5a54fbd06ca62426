"""A sheet led by ear: the dark run keeps its moments under the words; from the box to white light nothing talks into anything."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.refusal import Refusal
from firstsheet.tables import load
from firstsheet.trays import voice
from firstsheet.trays.cues import schedule, tone
from firstsheet.trays.process import Process, process_for, ways
from firstsheet.trays.sheettrack import dark_run, sheet_track, tray_clip
from firstsheet.trays.striptrack import Spoken, StripTrack
from tests.trays.test_strip_track import MS, heard, onset_near

COLOUR = process_for("reversal_ra4", "ra4", "colour")


def whole(process: Process | None, time_s: float = 4.0, how: str = "cap") -> StripTrack:
    made = sheet_track(time_s, how, process)  # type: ignore[arg-type]
    return StripTrack("cap", made.total_s, (), made.cues)


def runs() -> list[StripTrack]:
    cues, total = dark_run(COLOUR, 60.0)
    return [StripTrack("cap", total, (), cues), whole(COLOUR), whole(None), whole(None, 75.0, "lamp")]


@pytest.mark.parametrize("track", runs(), ids=["dark run", "from the box to white light", "exposure", "print"])
def test_every_cue_is_heard_within_a_millisecond(track: StripTrack) -> None:
    samples = heard(track)
    found = [(c, onset_near(samples, c.at_s)) for c in track.cues]
    assert not [c.words for c, at in found if at is None]
    assert max(abs(at - c.at_s) for c, at in found if at is not None) < MS
    assert max(samples) < 32767
    assert min(samples) > -32767


def test_the_words_move_no_tone_of_the_run() -> None:
    """The page counts with the schedule: each of its moments is a tone of the sound, and no other tone but the lead's is there."""
    cues, _ = dark_run(COLOUR, 60.0)
    assert [(c.at_s, c.tone) for c in cues if c.tone] == [(c.at_s, c.kind) for c in schedule(COLOUR, 60.0)]


def lasts_s(c: Spoken) -> float:
    if c.clips:
        return c.after_s + voice.lasts_s(c.clips)
    return max(n.at_s + n.for_s for n in tone(c.tone, c.number))


@pytest.mark.parametrize("track", runs(), ids=["dark run", "from the box to white light", "exposure", "print"])
def test_no_cue_talks_into_another(track: StripTrack) -> None:
    for a, b in pairwise(track.cues):
        assert b.at_s - a.at_s >= lasts_s(a), (a, b)


@given(st.lists(st.floats(min_value=5, max_value=300), min_size=8, max_size=8))
@settings(max_examples=20, deadline=None)
def test_nor_with_times_of_one_s_own(seconds: list[float]) -> None:
    own = {s.key: t for s, t in zip(COLOUR.steps, seconds, strict=True)}
    cues, _ = dark_run(process_for("reversal_ra4", "ra4", "colour", seconds=own), 60.0)
    for a, b in pairwise(cues):
        assert not a.clips or b.at_s - a.at_s >= lasts_s(a), (a, b)


def test_light_may_go_on_when_the_first_stop_and_the_rinse_are_done() -> None:
    """Until stopped and rinsed no light at all [SS0514]: the times of the first three steps with their drains, added up by hand."""
    made = sheet_track(4.0, "cap", COLOUR)
    dark = sum(s.seconds + s.drain_s for s in COLOUR.steps[:3])
    assert made.first_s is not None
    assert made.white_s == pytest.approx(made.first_s + dark)
    said = next(c for c in made.cues if c.at_s == made.white_s)
    assert said.words == "white light you may switch on the light"
    assert not any("switch on" in c.words for c in made.cues if c.at_s < made.white_s)
    assert made.close_s - made.open_s == pytest.approx(4.0)
    assert made.first_s > made.close_s


def test_the_order_from_the_box_to_the_first_tray() -> None:
    words = [c.words for c in sheet_track(2.0, "cap", COLOUR).cues if c.tone != "tick"]
    assert words[:7] == [
        "If anything happens, white light first", "One sheet", "Screen off, the phone in its pouch", "No light at all, not even red",
        "The lens is capped", "Open the box, take one sheet, shut the box", "Paper on the board, emulsion to the lens",
    ]  # fmt: skip
    assert words[7:16] == ["The sitter holds still", "Uncover the lens at the tone", "three", "two", "one", "(tone: light on)", "one", "cap",
                           "The lens is capped The sheet off the board, and to the trays"]  # fmt: skip
    assert words[16] == "first developer"


def test_every_tray_there_is_has_a_name_to_be_heard() -> None:
    clips = load("voice")["clips"]
    for way in ways():
        kind, paper = ("ra4", "colour") if way == "reversal_ra4" else ("paper", "blue")
        for step in process_for(way, kind, paper).steps:
            assert tray_clip(step.tray) in clips
            assert clips[tray_clip(step.tray)] == step.tray.replace("-", " ")


@pytest.mark.parametrize("time_s", [0.0, -1.0, float("nan"), 4000.0])
def test_no_time_and_no_hours(time_s: float) -> None:
    with pytest.raises(Refusal):
        sheet_track(time_s, "cap")
