"""The printed card: what its patches measure, said, reckoned from a spot meter, refused, forgotten; the drawing with its ruler."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from firstsheet.acts import card
from firstsheet.book.store import Book
from firstsheet.drawing.strip_card import card_page, strip_card
from firstsheet.refusal import Refusal

GREYS = "0.35 0.65 0.95 1.25"


@pytest.fixture
def book() -> Book:
    return Book.open(memory=True)


def test_a_card_nobody_measured_is_not_known(book: Book) -> None:
    found = card.card(book)
    assert (found.white, found.greys, found.black, found.typed) == (None, None, None, {})
    assert "not known" in found.notes[0]


def test_measured_it_is_typed_for_the_reader_until_said_anew(book: Book) -> None:
    found = card.say_card(book, {"white": "0.07", "greys": GREYS, "black": "1.85"})
    assert found.typed == {"card_white": "0.07", "card_greys": GREYS, "card_black": "1.85"}
    assert found.notes == ()
    assert card.card(book) == found
    some = card.say_card(book, {"black": "1.9"})
    assert some.typed == {"card_black": "1.90"}
    assert any("greys are not known" in n for n in some.notes)
    assert card.say_card(book, {"forget": "yes"}).how == ""


def test_a_stop_of_light_is_three_tenths_of_density(book: Book) -> None:
    """D = −log10 R and a stop halves the light: log10 2 a stop [ISO-5-4]; here by hand, white taken as 0.08."""
    found = card.say_card(book, {"readings": "EV 12 11 10 9 8 6"})
    assert found.greys == pytest.approx([0.08 + n * math.log10(2) for n in (1, 2, 3, 4)], abs=0.005)
    assert found.black == pytest.approx(0.08 + 6 * math.log10(2), abs=0.005)
    assert found.sd == pytest.approx(
        math.hypot(0.03, 0.1 * 0.30103 * math.sqrt(2)), abs=1e-4
    )  # two readings of ±0.1 stop and the white’s own
    assert found.typed["card_sd"] == "0.05"  # filled in with what a meter is worth, not as an instrument’s
    assert any("darker than it tells" in n for n in found.notes)


@pytest.mark.parametrize(
    ("form", "where"),
    [({}, "black"), ({"black": "1.45"}, "black"), ({"greys": "0.3 0.6"}, "greys"), ({"greys": "0.6 0.3 0.9 1.2"}, "greys"),
     ({"white": "0.4", "greys": GREYS}, "greys"), ({"readings": "12 11 10"}, "readings"), ({"readings": "12 11 10 9 8 7.9"}, "readings"),
     ({"readings": "12 11 10 9 8 6", "black": "1.8"}, "readings"), ({"black": "black"}, "black"), ({"colour": "red", "black": "1.7"}, "colour")],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_what_was_said_stays(book: Book, form: dict[str, str], where: str) -> None:
    before = card.say_card(book, {"black": "1.85"})
    with pytest.raises(Refusal) as refused:
        card.say_card(book, form)
    assert where in {p.where for p in refused.value.problems}
    assert card.card(book) == before


def test_the_drawing_has_a_ruler_and_its_words_fit_on_the_paper() -> None:
    root = ElementTree.fromstring(strip_card())
    ns = "{http://www.w3.org/2000/svg}"
    width = float(root.get("width", "").removesuffix("mm"))
    high = float(root.get("height", "").removesuffix("mm"))
    assert width <= 210 - 24  # A4 between margins of 12 mm (ISO 216); letter paper is 5.9 mm wider
    assert high <= 279.4 - 24  # letter paper is the shorter of the two (ANSI/ASME Y14.1)
    assert [float(v) for v in root.get("viewBox", "").split()[2:]] == [width, high]  # a unit is a mm
    ruler = next(p for p in root.iter(ns + "path") if p.get("class") == "ruler")
    assert re.fullmatch(r"M0,[\d.]+ h100", ruler.get("d", ""))
    for text in root.iter(ns + "text"):
        # A sans-serif letter is half its size wide on average (from memory); none may run off the drawing.
        size, x = float(text.get("font-size", "0")), float(text.get("x", "0"))
        assert x + 0.5 * size * len(text.text or "") < width - 10, text.text
    assert "not known until it is measured" in strip_card()


def test_the_page_to_print_stands_alone() -> None:
    page = card_page()
    assert page.startswith("<!doctype html>")
    assert "@page" in page
    assert not re.findall(r"(?:src|href)=", page)
    with pytest.raises(Refusal):
        card_page("xx")
