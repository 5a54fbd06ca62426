"""A sheet led by ear: every cue within a millisecond, nothing talks into anything, no silence is long, nothing is said too early."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.exposure.hand import giving
from firstsheet.refusal import Refusal
from firstsheet.tables import load
from firstsheet.trays import voice
from firstsheet.trays.cues import TONES, schedule, tone
from firstsheet.trays.process import Process, process_for, rows_of, ways
from firstsheet.trays.sheettrack import Given, dark_run, file_bytes, moments, sheet_track, tray_clip, volume_test
from firstsheet.trays.soundtrack import render_spoken
from firstsheet.trays.striptrack import Spoken
from tests.trays.listening import RATE, level_db, onsets, samples_of, sounding

MS = 0.001
COLOUR = process_for("reversal_ra4", "ra4", "colour")
NEGATIVE = process_for("paper_negative", "paper", "ortho")
HOWS: list[Given] = ["cap", "flap", "shutter", "held", "lamp"]
Told = tuple[tuple[Spoken, ...], float]


def process_of(way: str, base: str, seconds: dict[str, float] | None = None) -> Process:
    kind, paper = ("ra4", "colour") if way == "reversal_ra4" else ("paper", "blue")
    return process_for(way, kind, paper, base, seconds)


def whole(process: Process | None, time_s: float = 4.0, how: Given = "cap") -> Told:
    made = sheet_track(time_s, how, process)
    return made.cues, made.total_s


def lasts_s(c: Spoken) -> float:
    words = c.after_s + voice.lasts_s(c.clips) if c.clips else 0.0
    return max(words, max(n.at_s + n.for_s for n in tone(c.tone, c.number)) if c.tone else 0.0)


def heard_as_planned(told: Told) -> None:
    """Every onset of the plan is in the file within a millisecond, and no sample sounds outside what the plan says sounds."""
    cues, total = told
    samples = samples_of(render_spoken(cues, total))
    found = onsets(samples)
    off = [float(np.min(np.abs(found - c.at_s))) for c in cues]
    assert max(off) < MS
    at = sounding(samples)
    begins = np.array([c.at_s for c in cues])
    ends = np.array([c.at_s + lasts_s(c) for c in cues])
    here = np.searchsorted(begins - MS, at, side="right") - 1
    assert here.min() >= 0
    assert np.all(at < ends[here] + MS)
    assert np.abs(samples.astype(int)).max() < 32767


def apart(cues: tuple[Spoken, ...]) -> None:
    """No cue begins before the one before it is over; light shorter than its own tone alone is cut short by its end."""
    for a, b in pairwise(cues):
        assert b.at_s - a.at_s >= lasts_s(a) or (a.tone, b.tone) == ("open", "close"), (a, b)


def never_silent(cues: tuple[Spoken, ...]) -> None:
    """The rule: while nothing else is heard a tick every ten seconds, left out only where another cue is nearer than a second."""
    for a, b in pairwise(cues):
        assert b.at_s - a.at_s < 11.0, (a, b)  # the ten that falls within a second before another cue is left out
    firm = [c for c in cues if c.tone != "tick"]
    for t in (c for c in cues if c.tone == "tick"):
        assert all(abs(t.at_s - c.at_s) > 0.99 for c in firm), t


EVERY = [(way, base) for way in ways() for base in ("rc", "fibre")]


@pytest.mark.parametrize(("way", "base"), EVERY)
def test_every_way_and_base_from_the_box_to_white_light(way: str, base: str) -> None:
    process = process_of(way, base)
    made = sheet_track(4.0, "lamp" if way == "contact_print" else "cap", process)
    heard_as_planned((made.cues, made.total_s))
    apart(made.cues)
    never_silent(made.cues)
    assert made.white_s is not None
    assert made.total_s < 30 * 60


@given(data=st.data(), way=st.sampled_from(EVERY), how=st.sampled_from(HOWS), time_s=st.floats(0.05, 700.0))
@settings(max_examples=12, deadline=None)
def test_nor_with_any_times(data: st.DataObject, way: tuple[str, str], how: Given, time_s: float) -> None:
    keys = [s["key"] for s in rows_of(way[0])]
    seconds = {k: data.draw(st.floats(5.0, 420.0), label=k) for k in keys}
    told = whole(process_of(*way, seconds), time_s, how)
    heard_as_planned(told)
    apart(told[0])
    never_silent(told[0])


@pytest.mark.parametrize("lead_s", [60.0, 20.0])
def test_a_run_that_begins_with_the_sheet_in_the_hand(lead_s: float) -> None:
    cues, total = dark_run(COLOUR, lead_s)
    heard_as_planned((cues, total))
    apart(cues)
    never_silent(cues)


@pytest.mark.parametrize("time_s", [0.05, 0.1, 0.3, 0.6, 1.0, 1.4, 60.0, 3600.0])
def test_the_light_between_the_tones_is_the_exposure(time_s: float) -> None:
    """Measured in the file from tone to tone, the shortest light too."""
    made = sheet_track(time_s, "shutter")
    found = onsets(samples_of(render_spoken(made.cues, made.total_s)))
    begin, end = (found[np.argmin(np.abs(found - at))] for at in (made.open_s, made.close_s))
    assert end - begin == pytest.approx(time_s, abs=MS)
    never_silent(made.cues)


def test_half_an_hour_keeps_its_milliseconds() -> None:
    """30 min of minutes that end on no whole sample: the last onset is as true as the first."""
    seconds = {s["key"]: 177.7 + 1 / 3 for s in rows_of("reversal_ra4")}
    made = sheet_track(120.1, "cap", process_of("reversal_ra4", "rc", seconds))
    assert made.total_s > 1800
    heard_as_planned((made.cues, made.total_s))


def test_the_words_move_no_tone_of_the_run() -> None:
    """The page counts with the schedule: each of its moments is a tone of the sound, and no other but ticks between is there."""
    cues, _ = dark_run(COLOUR, 60.0)
    firm = [(c.at_s, c.tone) for c in cues if c.tone and c.tone != "tick"]
    assert firm == [(c.at_s, c.kind) for c in schedule(COLOUR, 60.0) if c.kind != "tick"]


def test_ticks_in_a_tray_count_from_going_in() -> None:
    """Each ten seconds that no other cue is within a second of, counted by hand from each start."""
    cues = sheet_track(4.0, "cap", COLOUR).cues
    starts = [c.at_s for c in cues if c.tone == "start"]
    lifts = [c.at_s for c in cues if c.tone == "lift"]
    ticks = [c.at_s for c in cues if c.tone == "tick"]
    for begin, lift, step in zip(starts, lifts, COLOUR.steps, strict=True):
        mine = [t - begin for t in ticks if begin < t < lift]
        assert mine == pytest.approx(
            [10.0 * n for n in range(1, int(step.seconds // 10)) if 10.0 * n < step.seconds - 10.5]
        )


def test_a_long_drain_is_not_silent() -> None:
    from firstsheet.trays.ownway import OwnStep, rows

    steps = (OwnStep("developer", "developer", drain_s=100.0), *(OwnStep(k, k) for k in ("stop", "fix", "wash")))
    process = process_for("paper_negative", "paper", "blue", rows=rows("paper_negative", steps))
    cues = sheet_track(4.0, "cap", process).cues
    never_silent(cues)
    apart(cues)


@pytest.mark.parametrize("process", [COLOUR, NEGATIVE], ids=["colour", "negative"])
def test_white_light_is_named_when_it_is_allowed_and_not_before(process: Process) -> None:
    """Colour: until stopped and rinsed no light at all [SS0514]; black and white: red until fixed, common practice, no source.

    Times of the dark steps with their drains, added up by hand.
    """
    made = sheet_track(4.0, "cap", process)
    dark = sum(s.seconds + s.drain_s for s in process.steps[:3])
    assert made.first_s is not None
    assert made.white_s == pytest.approx(made.first_s + dark)
    said = next(c for c in made.cues if c.at_s == made.white_s)
    assert said.words.endswith("you may switch on the light")
    assert not any("switch on" in c.words or "white light" in c.words for c in made.cues[2:] if c.at_s < made.white_s)
    assert made.close_s - made.open_s == pytest.approx(4.0)
    assert made.first_s > made.close_s


@pytest.mark.parametrize(
    ("sensitivity", "words"),
    [("blue", "red lamp only"), ("ortho", "Deep red lamp only"), ("colour", "No light at all, not even red")],
)
def test_the_room_s_light_is_said_before_the_box_is_opened(sensitivity: str, words: str) -> None:
    """Each paper's own light: the light table of the processes says it in the same words (common practice, no source)."""
    kind, way = ("ra4", "reversal_ra4") if sensitivity == "colour" else ("paper", "paper_negative")
    said = [c.words for c in sheet_track(4.0, "cap", process_for(way, kind, sensitivity)).cues]
    box = said.index("Open the box, take one sheet, shut the box")
    assert said.index("Screen off, the phone in its pouch") < said.index(words) < box
    assert words.lower() in load("processes")["tolerates"][sensitivity]["until_words"].lower()


def test_the_order_from_the_checklist_to_the_first_tray() -> None:
    words = [c.words for c in sheet_track(2.0, "cap", COLOUR).cues if c.tone != "tick"]
    assert words[:2] == [
        "If anything happens, white light first",
        "A soft tick every ten seconds. Where it is missing, the sound has stopped: shut the box",
    ]  # fmt: skip
    begin = words.index("Screen off, the phone in its pouch")
    assert words[2:begin] == [
        "Checklist", "Somebody knows where you are, and until when", "Fresh air, and the way out is free", "Gloves on",
        "Touch every tray, in its order", "Every liquid poured, and its warmth measured", "Water, lamp switch and door, by touch",
        "The white lamp hangs dry, and works", "Every lamp off, the red one too",
        "Sitter in place, in focus, the stop set", "No sun in the lens", "The box of paper within reach",
    ]  # fmt: skip
    words = words[begin:]
    assert words[1:8] == [
        "No light at all, not even red", "The lens is capped",
        "Open the box, take one sheet, shut the box", "Feel for the emulsion: the paper curls towards it",
        "Paper on the board, emulsion to the lens", "Touch the box: it is shut", "Sitter: when you hear, still, do not move",
    ]  # fmt: skip
    assert words[8:17] == [
        "Uncover the lens at the tone",
        "three",
        "two",
        "one",
        "still",
        "(tone: light on)",
        "one",
        "cap",
        "you may move",
    ]
    assert words[17:21] == [
        "The lens is capped. The sheet off the board, and to the trays. Gloves on",
        "ten",
        "first developer",
        "now",
    ]
    assert words[21:26] == ["ten", "lift, and let it drain", "stop", "now", "ten"]
    assert words[-3:] == [
        "The run is over", "Used fixer and the first wash hold silver: collect them", "Its code on the back, in pencil",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "way", "said"),
    [("coffee", "paper_negative", "Coffee"), ("paper", "paper_negative", ""), ("ra4", "reversal_ra4", "white lamp")],
)
def test_the_checklist_is_that_of_the_way(kind: str, way: str, said: str) -> None:
    process = process_for(way, kind, "colour" if kind == "ra4" else "blue")
    words = " ".join(c.words for c in sheet_track(2.0, "cap", process).cues)
    assert [w for w in ("Coffee", "white lamp") if w in words] == [w for w in (said,) if w]
    assert words.index("Somebody knows where you are") < words.index("Screen off") < words.index("Open the box")


def test_a_sitter_is_counted_in_by_seconds_and_stands_still_before_the_light() -> None:
    cues = sheet_track(2.0, "cap").cues
    at = {c.words: c.at_s for c in cues if c.clips and c.clips[0] in load("voice")["loud"]}
    light = next(c.at_s for c in cues if c.tone == "open")
    beats = [at[w] - light for w in ("three", "two", "one", "still")]
    assert beats == pytest.approx([-4.0, -3.0, -2.0, -1.0])
    assert at["you may move"] > next(c.at_s for c in cues if c.tone == "close")
    lamp = [k for c in sheet_track(2.0, "lamp").cues for k in c.clips]
    assert not set(lamp) & set(load("voice")["loud"])


@pytest.mark.parametrize(
    ("how", "begins", "ends"),
    [
        ("cap", "Uncover the lens at the tone", "cap"),
        ("flap", "Uncover the lens at the tone", "lens shut"),
        ("shutter", "Release the shutter at the tone", "cap"),
        ("held", "Open the shutter at the tone", "lens shut"),
        ("lamp", "Lamp on at the tone", "lamp off"),
    ],
)
def test_what_opens_and_ends_the_light_is_what_is_there(how: Given, begins: str, ends: str) -> None:
    words = [c.words for c in sheet_track(2.0, how).cues]
    assert begins in words
    assert ends in words


def test_every_way_a_plan_gives_light_is_known_to_the_sound() -> None:
    from firstsheet.acts.sheet_track import GIVEN

    told = {giving(t, s, (1.0, 0.5)).how for t in (0.5, 40.0) for s in ("cap", "flap", "lamp", "shutter")}
    assert told == set(GIVEN)


def test_cautions_are_said_where_they_matter() -> None:
    said = {c.number: c.words for c in sheet_track(4.0, "cap", COLOUR).cues if c.tone == "start"}
    trays = {i: s.tray for i, s in enumerate(COLOUR.steps, 1)}
    assert {trays[n] for n, w in said.items() if "gloves" in w} == {"colour developer"}
    assert {trays[n] for n, w in said.items() if "fresh air" in w} == {"bleach-fix"}


def test_an_hour_of_washing_is_left_to_a_clock() -> None:
    made = sheet_track(4.0, "cap", process_of("paper_negative", "fibre"))
    words = [c.words for c in made.cues]
    assert "From here on, by a clock" in words
    assert "The run is over" not in words
    assert made.white_s is not None
    assert made.total_s < made.white_s + 30


def test_every_tray_there_is_has_a_name_to_be_heard() -> None:
    clips = load("voice")["clips"]
    for way in ways():
        for step in process_of(way, "rc").steps:
            assert clips[tray_clip(step.tray)] == step.tray.replace("-", " ")
    assert clips[tray_clip("my own bath")] == "next tray"


@pytest.mark.parametrize("time_s", [0.0, -1.0, float("nan"), 4000.0])
def test_no_time_and_no_hours(time_s: float) -> None:
    with pytest.raises(Refusal):
        sheet_track(time_s, "cap")


def test_the_volume_test_is_the_softest_there_is_then_the_sitter_s() -> None:
    cues, total = volume_test("cap")
    heard_as_planned((cues, total))
    apart(cues)
    kinds = [c.tone or c.words for c in cues]
    assert kinds[1:4] == ["tick", "in", "tick"]
    assert "still" in kinds
    assert len(volume_test("lamp")[0]) == 5


# ── how loud ──


def shape(kind: str) -> np.ndarray:
    return samples_of(render_spoken([Spoken(0.0, kind, ())], 0.8))


def test_no_word_is_lost_against_the_ticks_and_none_against_another() -> None:
    """A-weighted, the loudest 125 ms (IEC 61672-1): words alike, above the tick, the sitter's above them; tones are told from words by more."""
    words = {k: level_db(np.array(voice.clip(k, RATE))) for k in load("voice")["clips"]}
    loud = {k: level_db(np.array(voice.clip(k, RATE))) for k in load("voice")["loud"]}
    assert max(words.values()) - min(words.values()) < 7.0
    assert min(words.values()) > level_db(shape("tick")) + 9.0
    assert min(loud.values()) > float(np.median(list(words.values()))) + 3.0
    assert words["in_word"] < min(words.values()) + 0.2  # what the volume test plays is the softest word there is
    firm = [level_db(shape(k)) for k in TONES if k not in ("tick", "early")]
    assert min(firm) > max(words.values()) - 6.0  # 220 Hz is heard less: the low note confirms nothing that matters


def test_a_clip_for_each_word_and_a_word_for_each_clip() -> None:
    folder = Path(voice.__file__).parents[1] / "tables" / "voice"
    table = load("voice")
    assert {p.stem for p in folder.glob("*.wav")} == set(table["clips"]) | set(table["loud"])


def test_the_size_said_is_the_size_made() -> None:
    cues, total = whole(None)
    assert len(render_spoken(cues, total)) == file_bytes(total)


# ── marks ──


@given(way=st.sampled_from(EVERY), time_s=st.floats(0.05, 300.0), factor=st.floats(0.2, 3.0))
@settings(max_examples=60, deadline=None)
def test_marks_cannot_be_taken_for_one_another(way: tuple[str, str], time_s: float, factor: float) -> None:
    seconds = {s.key: max(5.0, s.seconds * factor) for s in process_of(*way).steps if s.seconds < 900}
    process = process_of(*way, seconds)
    made = sheet_track(time_s, "cap", process)
    some = moments(made, process)
    assert all(a.to_s <= b.from_s for a, b in pairwise(some))
    assert all(m.from_s < m.to_s for m in some)
    tones = {c.at_s for c in made.cues if c.tone in ("open", "close", "lift", "drain_end")}
    assert {m.at_s for m in some} <= tones
    assert len([m for m in some if m.kind == "lifted"]) == len([c for c in made.cues if c.tone == "lift"])
    assert all(m.from_s <= m.at_s <= m.to_s for m in some if m.kind != "finished")
