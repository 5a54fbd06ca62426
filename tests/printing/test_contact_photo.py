"""A negative's range and its positive from a photo on a light. Every photo is synthetic, its densities known to the test alone."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from PIL import Image

from firstsheet.acts import contact_kept, contact_photo, contact_positive
from firstsheet.foresee import tone
from firstsheet.refusal import Refusal
from tests.printing.backlight import BARE, CORNERS, Scene, photo, wedge

WEDGE = (0.45, 0.60, 0.80, 1.00, 1.20, 1.40, 1.55)
RANGE = 1.10
CLEAN = Scene(fall=0.0, tilt=0.0, veil=0.0, noise=0.002)
PLACES = {"bare": BARE, "opaque": "0.1,0.5"}
ENDS = {"thin": "0.24,0.5", "dense": "0.76,0.5"}


def where(refusal) -> set[str]:
    return {p.where for p in refusal.value.problems}


@pytest.mark.parametrize("scene", [
    Scene(), Scene(fall=0.0, tilt=0.0), Scene(fall=0.4, tilt=0.3), Scene(veil=0.012), Scene(noise=0.01), Scene(tones=1.02), Scene(top=0.6),
])  # fmt: skip
def test_the_range_of_a_synthetic_negative_within_005(book, scene):
    n = contact_photo.take_in(book, photo(wedge(WEDGE), scene))
    for ends in (ENDS, {"corners": CORNERS}):
        told = contact_photo.look(book, n, PLACES | ends)
        assert told.range_d == pytest.approx(RANGE, abs=0.05)
        assert abs(told.clear_d - 0.45) < (0.05 if scene.fall < 0.4 else 1.645 * told.clear_sd)
        assert abs(told.range_d - RANGE) < 1.645 * told.range_sd
        assert told.grade == 2


def test_a_photo_of_the_bare_light_knows_an_uneven_one_from_one_place(book):
    scene = Scene(fall=0.4, tilt=0.3)
    n, alone = contact_photo.take_in(book, photo(wedge(WEDGE), scene)), contact_photo.take_in(book, photo(None, scene, 2))
    one = {"bare": "0.05,0.1", "opaque": "0.1,0.5"} | ENDS
    blind, told = contact_photo.look(book, n, one), contact_photo.look(book, n, one | {"bare_photo": str(alone)})
    assert told.range_d == pytest.approx(RANGE, abs=0.05)
    assert abs(blind.range_d - RANGE) > 0.1  # one bare place tells nothing of the lamp's fall-off, and the doubt says so
    assert blind.range_sd > 2 * told.range_sd


def test_an_unmeasured_veil_is_in_the_doubt(book):
    n = contact_photo.take_in(book, photo(wedge(WEDGE), Scene(veil=0.010)))
    blind = contact_photo.look(book, n, {"bare": BARE} | ENDS)
    assert abs(blind.range_d - RANGE) < 2 * blind.range_sd
    assert abs(contact_photo.look(book, n, PLACES | ENDS).range_d - RANGE) < 0.05
    assert any("coin" in note for note in blind.notes)


@pytest.mark.parametrize(("fields", "scene", "wrong"), [
    ({}, Scene(), {"bare", "thin", "dense"}),
    (PLACES | {"thin": "0.24,0.5"}, Scene(), {"dense"}),
    (PLACES | ENDS | {"bare": "0.5,0.5"}, Scene(top=0.5), {"bare"}),  # on the negative, not beside it
    (PLACES | ENDS, Scene(top=1.6, fall=0.0), {"bare"}),  # the light clipped
    (PLACES | {"thin": "0.24,0.5", "dense": "0.1,0.5"}, Scene(), {"dense"}),  # the coin: no tone there
    (PLACES | {"thin": "0.76,0.5", "dense": "0.24,0.5"}, Scene(), {"dense"}),  # the two exchanged
    (PLACES | ENDS | {"colour": "red"}, Scene(), {"colour"}),
    (PLACES | {"corners": "0.2,0.2 0.2,0.2 0.2,0.2 0.2,0.2"}, Scene(), {"corners"}),
    (PLACES | {"corners": "0.2,0.2 0.8,0.8 0.8,0.2 0.2,0.8"}, Scene(), {"corners"}),
])  # fmt: skip
def test_what_a_photo_cannot_tell_is_refused(book, fields, scene, wrong):
    n = contact_photo.take_in(book, photo(wedge(WEDGE), scene))
    with pytest.raises(Refusal) as refusal:
        contact_photo.look(book, n, fields)
    assert where(refusal) == wrong


def kept(book, density, side="emulsion", scene=CLEAN):
    n = contact_photo.take_in(book, photo(density, scene))
    return contact_photo.keep(book, n, PLACES | {"corners": CORNERS, "name": "boat", "side": side})


def test_it_is_kept_as_any_negative(book):
    known = kept(book, wedge(WEDGE))
    assert contact_kept.negatives_kept(book) == [known]
    assert known.range_d == pytest.approx(RANGE, abs=0.05)
    assert contact_photo.photographed(book) == ("boat",)


def steps_of(jpeg: bytes) -> list[float]:
    """Density of each step of the drawn positive from its sRGB codes [IEC-61966-2-1], left to right."""
    code = np.asarray(Image.open(io.BytesIO(jpeg)).convert("L")) / 255.0
    y = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    high, wide = y.shape
    n = len(WEDGE)
    return [-math.log10(float(y[high // 3 : -high // 3, round((i + 0.3) * wide / n) : round((i + 0.7) * wide / n)].mean())) for i in range(n)]


def composed(levels, clear: float) -> list[float]:
    """Through D_T, written out: the clearest tone on T, 90 % of Dmax [ISO-6846], each other so much less light as it is denser; a
    logistic of base 0.07, Dmax 1.90 and R 110 between its points S and T, solved here."""
    base, dmax = 0.07, 1.90
    logit = lambda d: math.log((d - base) / (dmax - d))  # noqa: E731
    top, foot = logit(0.9 * dmax), logit(base + 0.04)
    slope = (top - foot) / 1.10
    return [base + (dmax - base) / (1 + math.exp(-(top + slope * (clear - d)))) for d in levels]


def test_a_wedges_positive_is_the_composition_through_transmission(book):
    """Even light, no veil: within 0.01 D. The same layer looked at is denser, 0.96/1.40/1.90 for 0.47/0.75/1.05 D [Williams-1953]
    (from memory, linear between): composed through that the print is wrong by more than half a density."""
    known = kept(book, wedge(WEDGE))
    drawn = steps_of(contact_positive.drawn(book, {"range": "R 110"}))[::-1]  # printed emulsion to emulsion: left and right exchanged
    right = composed(WEDGE, known.clear_d)
    assert drawn == pytest.approx(right, abs=0.01)
    looked = [known.clear_d + float(np.interp(d - WEDGE[0], (0, 0.47, 0.75, 1.05, 1.10), (0, 0.96, 1.40, 1.90, 1.98))) for d in WEDGE]
    wrong = composed(looked, known.clear_d)
    assert max(abs(a - b) for a, b in zip(wrong, right, strict=True)) > 0.5


def test_seconds_stops_and_rules_on_the_positive(book):
    """Hand arithmetic: √(2·4) s blacken bare paper; the clearest tone wants 10^clear times that; highlights first on R 110 wants 10^(dense − 1.10)."""
    contact_kept.lamp(book, {"name": "phone", "kind": "point", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"})
    known = kept(book, wedge(WEDGE))
    fits = contact_positive.positive(book, {"range": "R 110"})
    asked = {"range": "R 110", "give": f"{math.sqrt(8) * 10**known.clear_d * 2:.4f} s"}
    twice = contact_positive.positive(book, asked)
    assert twice.more_stops == pytest.approx(1.0, abs=0.01)
    far = contact_positive.positive(book, asked | {"height": "2 m"})  # inverse square: four times as long there
    assert far.more_stops == pytest.approx(-1.0, abs=0.01)
    assert twice.dead_black > fits.dead_black
    assert far.blown_white > fits.blown_white
    light = contact_positive.positive(book, {"range": "R 80", "first": "highlights", "stops": "0"})
    assert light.more_stops == 0
    assert light.dead_black > fits.dead_black  # a negative longer than the paper: the other end is lost


def test_left_and_right(book):
    """A negative seen from its emulsion and printed emulsion to emulsion comes exchanged: its thin left prints black on the right."""
    kept(book, wedge(WEDGE))
    for fields, dark_left in (({}, False), ({"facing": "apart"}, True)):
        steps = steps_of(contact_positive.drawn(book, {"range": "R 110"} | fields))
        assert (steps[0] > steps[-1]) is dark_left
    kept(book, wedge(WEDGE), side="back")
    steps = steps_of(contact_positive.drawn(book, {"range": "R 110"}))
    assert steps[0] > steps[-1]


def test_what_a_positive_cannot_be_drawn_of_is_refused(book):
    with pytest.raises(Refusal) as refusal:
        contact_positive.positive(book, {"give": "4 s", "stops": "1", "range": "R 100", "grade": "2"})
    assert where(refusal) == {"negative", "lamp", "grade", "stops"}


def test_the_papers_own_curve_draws_it(book):
    """A curve as kept: logistic of R 110, drawn as the one said, its words naming it."""
    base = tone.of_figures("contact_print", 0.07, 1.90, 1.10, "")
    at = np.linspace(-1.5, 1.5, 97)
    book.add_thing("curve", "one", {
        "box": "D", "developer": "tray", "kind": "reflection", "way": "contact_print", "light": "tungsten", "taught": True, "figures": [],
        "log_h": at.tolist(), "density": base.density_of(at).tolist(), "counted_from": "card",
    })  # fmt: skip
    contact_kept.lamp(book, {"name": "phone", "kind": "point", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3", "box": "D", "developer": "tray"})
    known = kept(book, wedge(WEDGE))
    told = contact_positive.positive(book, {"give": f"{math.sqrt(8) * 10**known.clear_d:.4f} s"})
    assert told.range_log == pytest.approx(1.10, abs=0.01)
    assert "measured of" in told.notes[0]
