"""The colour of light asked as a person asks it; a filter said in words becomes what the plan charges for it, once."""

from __future__ import annotations

import pytest

from firstsheet.acts import colour_of_light as acts
from firstsheet.refusal import Refusal
from tests.acts.evening import begun


def figure(found, key):
    return next(f for f in found.figures if f.key == key)


def test_shade_is_faster_and_a_lamp_slower_than_the_meter_says():
    """Open shade +0.5 to +0.9 stop against 5500 K, a tungsten lamp one to one and a half slower: physics and common practice."""
    e = begun("enlarging")
    assert 0.4 < figure(acts.colour_of_light(e.book, {"light": "open_shade"}), "actinic_stops").value < 1.1
    assert -1.6 < figure(acts.colour_of_light(e.book, {"light": "tungsten"}), "actinic_stops").value < -0.9


def test_a_graded_paper_loses_more_to_yellow_than_one_that_sees_green():
    e = begun("enlarging")
    both = [figure(acts.colour_of_light(e.book, {"light": "sun", "emulsion": k, "filter": "yellow"}), "filter_stops").value for k in ("blue_green", "blue")]
    assert both[1] > both[0] + 1.0


def test_a_filter_in_words_is_charged_once_in_the_plan():
    """ND 0.6 is two stops: four times the seconds, whether said in words or as a density."""
    e = begun("enlarging")
    bare = 2 ** e.plan().nominal_log2_s
    words = 2 ** e.plan(filter="ND 0.6").nominal_log2_s
    number = 2 ** e.plan(filter="0.6").nominal_log2_s
    assert words == pytest.approx(4.0 * bare, rel=0.02)
    assert number == pytest.approx(words, rel=0.01)
    yellow = e.plan(filter="yellow 0.7")
    assert 1.0 < next(link.stops for link in yellow.chain if link.key == "filter") < 2.0


def test_things_come_out_as_practitioners_say():
    """Red lips and freckles dark, blue white: common practice, no source."""
    found = acts.colour_of_light(begun("enlarging").book, {"light": "sun"})
    stops = {row["key"]: row["stops"] for row in found.tables[0].data}
    assert stops["lips"] < -0.3
    assert stops["sky"] > 0.4
    assert abs(stops["grey_card"]) < 1e-9
    assert found.drawing.count("<rect") == 2 * len(stops)


def test_all_that_is_wrong_is_said_at_once():
    with pytest.raises(Refusal) as refused:
        acts.colour_of_light(begun().book, {"light": "sun", "kelvin": "99", "filter": "purple", "emulsion": "x", "glass": "green"})
    assert {p.where for p in refused.value.problems} >= {"kelvin", "filter", "emulsion", "glass"}


def test_a_sentence_about_a_layer_reads_as_one():
    found = acts.colour_of_light(begun("enlarging").book, {"light": "led", "emulsion": "layer_red"})
    assert found.first.startswith("White LED: the red-sensitive layer of colour paper sees ")
    assert found.tables[0].title == "How this layer alone sees things"
