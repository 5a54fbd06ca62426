"""What the page of a run is given: complete, safe inside a page, and right about the dark."""

import json

import pytest

from firstsheet.trays.process import process_for
from firstsheet.trays.runpage import clock_words, dark_track, run_json, run_page

BW = process_for("paper_negative", "coffee", "blue")
COLOUR = process_for("reversal_ra4", "ra4", "colour")


def test_a_red_lamp_run_opens_red_and_needs_no_track():
    run = run_page(BW, "K7QD", "Boathouse, the cox")
    assert run["light"] == "red"
    assert run["dark"] is None
    assert [s["light"] for s in run["steps"]] == ["red", "red", "red", "sun"]
    assert run["marks_url"] == "/api/sheets/K7QD/marks"


def test_a_colour_run_opens_black_and_tells_its_dark_part():
    # a page loaded again in the dark must not show a white screen before its script has run
    run = run_page(COLOUR, "C3RA", "Boathouse, bow pair")
    assert run["light"] == "dark"
    # by hand: developer 120, drain 10, stop 30, drain 10, rinse 90, drain 10
    assert run["dark"]["lifts"] == [
        {"step": "first_developer", "at_s": 120},
        {"step": "stop", "at_s": 160},
        {"step": "rinse", "at_s": 260},
    ]
    assert run["dark"]["over_s"] == 270
    first = next(c for c in dark_track(COLOUR) if c.kind == "start")
    assert first.at_s == run["dark"]["lead_s"]


@pytest.mark.parametrize("process", [BW, COLOUR])
def test_every_sound_that_is_named_has_a_shape(process):
    run = run_page(process, "K7QD", "")
    for step in run["steps"]:
        for cue in step["cues"]:
            name = f"start {cue['number']}" if cue["kind"] == "start" else cue["kind"]
            assert run["tones"][name]
        assert 0 <= step["live_s"] < step["seconds"]
    assert {"kept", "early"} <= set(run["tones"])


def test_nothing_in_the_data_can_close_its_element():
    told = "</script><script>alert(1)</script> & “30 × 40”"
    text = run_json(
        run_page(BW, "K7 Q/D", told, [{"id": "a", "kind": "begun", "step": "", "elapsed_s": 0, "wall_ms": 1}])
    )
    assert "<" not in text
    assert "&" not in text
    assert json.loads(text)["sheet_words"] == told
    assert json.loads(text)["marks_url"] == "/api/sheets/K7%20Q%2FD/marks"


@pytest.mark.parametrize(
    ("seconds", "words"), [(0, "0:00"), (9.6, "0:10"), (59.7, "1:00"), (390, "6:30"), (3600, "60:00")]
)
def test_clock_words(seconds, words):
    assert clock_words(seconds) == words


def test_cautions_are_on_the_page_and_defer():
    run = run_page(BW, "K7QD", "")
    assert any("drink" in line for line in run["cautions"])  # coffee developer looks like a drink
    assert any("safety data sheet" in line for line in run["cautions"])
    assert any("hypochlorite" in line for line in run["cautions"])
    assert "silver" in run["afterwards"]
    assert run["emergency"][0].startswith("White light on")
    assert any("fifteen minutes" in line for line in run["emergency"])
