"""An evening at the bench: lamp, negative, print; a mistake made and mended; what is refused."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import contact, contact_kept, counting
from firstsheet.refusal import Refusal

LAMP = {"name": "phone", "kind": "point", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"}
P = 1 / 1.1  # Schwarzschild's exponent before anything was learned: papers 0.75 to 0.95, from memory; t ∝ H^(1/p) above one second [Schwarzschild-1900]
ASKED = {"facing": "together", "glass": "no", "back_print": "no"}


def where(refusal) -> set[str]:
    return {p.where for p in refusal.value.problems}


def test_what_spoils_a_print_is_asked_before(book):
    with pytest.raises(Refusal) as refusal:
        contact.contact(book, {})
    assert {"lamp", "negative", "facing", "glass", "back_print"} <= where(refusal)


def test_an_evening_with_a_mistake_mended(book):
    contact_kept.lamp(book, LAMP)
    with pytest.raises(Refusal) as refusal:  # read by looking at it: refused, and why
        contact_kept.negative(book, {"name": "boat", "clear": "0.20 looked at", "dense": "1.40 looked at"})
    assert all("more than once" in p.allowed for p in refusal.value.problems)
    n = contact_kept.negative(book, {"name": "boat", "bare": "1600 lx", "clear": "400 lx", "dense": "40 lx"})
    # Hand arithmetic: log10(1600/400) = 0.602, log10(1600/40) = 1.602.
    assert (n.clear_d, n.dense_d, n.grade) == (pytest.approx(0.602, abs=1e-3), pytest.approx(1.602, abs=1e-3), 2)
    c = contact.contact(book, ASKED | {"range": "R 100", "sheet": "12x16 in"})
    # √(2·4) s turn bare paper black; through a quarter of the light four times the exposure.
    assert c.time_s == pytest.approx(math.sqrt(8) * 4 ** (1 / P), rel=1e-3)
    assert c.low_s < c.time_s < c.high_s
    assert "right way round" in c.sides
    assert "fits" in c.says
    far = contact.contact(book, ASKED | {"range": "R 100", "height": "2 m"})
    assert far.time_s == pytest.approx(4 ** (1 / P) * c.time_s, rel=1e-6)
    assert far.sd_stops > c.sd_stops


def test_a_negative_is_remembered_and_seconds_follow_the_new_paper(book):
    contact_kept.lamp(book, LAMP)
    contact_kept.negative(book, {"name": "boat", "clear": "0.60", "dense": "1.60"})
    hard = contact.contact(book, ASKED | {"grade": "4", "first": "highlights"})
    soft = contact.contact(book, ASKED | {"grade": "1", "first": "highlights"})
    # Middles of the grades, 0.725 and 1.275 (from memory of the 1966 appendix).
    assert math.log10(hard.time_s / soft.time_s) == pytest.approx(0.55 / P)
    assert hard.grade == soft.grade == 2
    assert "longer" in hard.says
    assert "flat" in soft.says


def test_a_wet_negative_is_not_a_dry_one(book):
    contact_kept.lamp(book, LAMP)
    contact_kept.negative(book, {"name": "boat", "clear": "0.40", "dense": "1.40", "state": "wet"})
    with pytest.raises(Refusal) as refusal:
        contact.contact(book, ASKED | {"grade": "2"})
    assert where(refusal) == {"state"}
    assert contact.contact(book, ASKED | {"grade": "2", "state": "wet"}).time_s > 0


def test_without_a_range_or_a_curve_it_asks(book):
    contact_kept.lamp(book, LAMP)
    contact_kept.negative(book, {"name": "boat", "clear": "0.60", "dense": "1.60"})
    with pytest.raises(Refusal) as refusal:
        contact.contact(book, ASKED)
    assert where(refusal) == {"range"}


def test_counting_advises_a_height_that_halves_the_error(book):
    told = counting.measure(book, {"took": "9.5 s; 9.6 s; 9.4 s"})
    assert told.second_s == pytest.approx(0.95)
    contact_kept.lamp(book, LAMP | {"times": "0.1 0.2 0.4 0.8 s", "height": "1 m"})
    contact_kept.negative(book, {"name": "boat", "clear": "0.60", "dense": "1.60"})
    c = contact.contact(book, ASKED | {"grade": "2"})
    assert c.better_height_mm > 1000
    there = contact.contact(book, ASKED | {"grade": "2", "height": f"{c.better_height_mm:.1f} mm"})
    assert there.count_stops <= c.count_stops / 2 + 1e-3
    assert "dimmer lamp" in c.says


def test_the_papers_own_curve_tells_its_range(book):
    """A curve as kept, R 120 on it: no range need be said, and both rules agree on a negative of 1.20 D (closed form)."""
    book.add_thing("curve", "one", {
        "box": "D", "developer": "tray", "kind": "reflection", "way": "contact_print", "light": "tungsten", "taught": True,
        "figures": [{"key": "iso_r", "value": 120.0}],
    })  # fmt: skip
    contact_kept.lamp(book, LAMP)
    contact_kept.negative(book, {"name": "boat", "clear": "0.50", "dense": "1.70"})
    c = contact.contact(book, ASKED)
    assert c.range_log == pytest.approx(1.2)
    assert c.highlights_s == pytest.approx(c.shadows_s)
    assert "from the curve of" in c.notes[0]
