"""What is said with a test strip's sound: no light for a paper that bears none, and what must be in place for its way."""

from __future__ import annotations

import pytest

from firstsheet.acts import strip_track
from tests.acts.evening import Evening

DARK, RED = "No light at all, not even red", "Only the light this paper allows"


def heard(track: strip_track.StripTrack) -> set[str]:
    return {c.words for c in track.cues} & {DARK, RED}


@pytest.mark.parametrize("way", ["even_tone", "opal", "lamp", "tablet"])
def test_a_colour_strip_to_be_made_is_told_of_no_light(colour: Evening, way: str) -> None:
    """By the box alone, and by the way of working alone. Colour paper bears no lamp (common practice, no source)."""
    colour.say(box="A")
    assert heard(strip_track.of_making(colour.book, {"way": way})) == {DARK}
    colour.say(way="reversal_ra4")
    told = strip_track.of_making(colour.book, {"way": way})
    assert heard(told) == {DARK}
    assert "not even red" in told.cautions[1]


def test_a_colour_strip_that_was_kept_is_told_of_no_light(colour: Evening) -> None:
    assert heard(strip_track.of_sheet(colour.book, colour.keep(strip=True))) == {DARK}


def test_other_papers_keep_their_lamp(positive: Evening, negative: Evening) -> None:
    for e in (positive, negative):
        e.say(box="A")
        assert heard(strip_track.of_making(e.book, {"way": "opal"})) == {RED}
        assert heard(strip_track.of_sheet(e.book, e.keep(strip=True))) == {RED}


def test_opal_lies_over_the_lens_and_wants_no_sitter(negative: Evening) -> None:
    told = strip_track.of_making(negative.book, {"way": "opal"}).before[0]
    assert told.startswith("Opal glass or tracing paper over the lens")
    assert "itter" not in told
    assert "grey card" in strip_track.of_making(negative.book, {"way": "even_tone"}).before[0]
