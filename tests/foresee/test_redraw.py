"""A sheet redrawn against the sheet that the other exposure would have made, by a forward model of its own (tests/foresee/sheets.py)."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from firstsheet.foresee import redraw, tone
from firstsheet.light.photo import receive
from firstsheet.refusal import Refusal
from tests.foresee import sheets
from tests.foresee.sheets import BASE, BORDER_AT, DMAX, FACE, WHITE_AT, Print, curve, linear, photo, scene, table

WAYS = {"paper_negative": 1, "direct_positive": -1}
STEPS = (-1.0, -0.5, 0.5, 1.0)
both = pytest.mark.parametrize("way", WAYS)


def known(way):
    return tone.measured(*table(WAYS[way]), way, "a known curve")


def exact(d, **light):
    """The photo as the camera's light, before any codes."""
    y = linear(d, **light).astype(np.float32)
    return redraw.against_white(y, np.zeros(y.shape[:2], dtype=bool), WHITE_AT)


def density_of(light):
    y = np.maximum(light @ np.array([0.2126, 0.7152, 0.0722]), 1e-6)
    return redraw.WHITE_D - np.log10(y)


def told(d):
    """Where a photo tells the exposure: the handbook's end points of a paper's scale, 0.04 above base (point S) and, for
    eight bits, 0.06 below Dmax [ISO-6846]."""
    return (d > BASE + 0.04) & (d < DMAX - 0.06)


@both
@pytest.mark.parametrize("stops", STEPS)
def test_redrawn_is_the_sheet_that_exposure_would_have_made(way, stops):
    sense = WAYS[way]
    before, after = Print(sense).density()[FACE], Print(sense, stops).density()[FACE]
    found = density_of(redraw.redrawn(exact(Print(sense).density()), known(way), stops))[FACE]
    here = told(before)
    assert here.mean() > 0.8
    assert np.max(np.abs(found - after)[here]) < 0.02


@both
@pytest.mark.parametrize("stops", STEPS)
def test_from_a_kept_photo_of_eight_bits(way, stops):
    sense = WAYS[way]
    kept = receive(photo(Print(sense).density(), tint=(1.0, 0.9, 0.75))).kept_jpeg
    seen = redraw.against_white(*redraw.linear_rgb(kept), WHITE_AT)
    found = density_of(redraw.redrawn(seen, known(way), stops))[FACE]
    after = Print(sense, stops).density()[FACE]
    here = told(Print(sense).density()[FACE]) & told(after)
    off = (found - after)[here]
    assert abs(off.mean()) < 0.01
    assert np.percentile(np.abs(off), 95) < 0.05  # eight bits and JPEG at depth; their mean is the line above


@both
def test_direction(way):
    """More light darkens a negative and lightens a positive: what the two kinds of paper are."""
    seen = exact(Print(WAYS[way]).density())
    y = {s: density_of(redraw.redrawn(seen, known(way), s))[FACE].mean() for s in (-1, -0.5, 0, 0.5, 1)}
    in_order = [y[s] for s in (-1, -0.5, 0, 0.5, 1)]
    assert in_order == sorted(in_order, reverse=WAYS[way] < 0)
    assert len(set(in_order)) == 5


@pytest.mark.parametrize("way", ["paper_negative", "direct_positive", "reversal_ra4", "contact_print"])
def test_direction_through_a_curve_that_stands_in(way):
    negative = way in ("paper_negative", "contact_print")
    d = np.linspace(0.3, 1.5, 50)
    moved = tone.stand_in(way).change(d, 0.5)
    assert np.all(moved > 0) if negative else np.all(moved < 0)
    assert np.allclose(tone.stand_in(way).change(np.linspace(-0.2, 3.0, 200), 0.0), 0.0, atol=1e-9)


@both
def test_a_stand_in_has_the_range_it_says(way):
    """R = 100·(log H_T − log H_S), S 0.04 above base and T at 90 % of Dmax [ISO-6846]."""
    t = tone.stand_in(way)
    h = np.abs(np.diff(t.log_h_of(np.array([t.base + 0.04, 0.9 * t.dmax]))))[0]
    assert h == pytest.approx(1.0 if way == "paper_negative" else 0.9, abs=0.01)


@both
def test_through_figures_alone_it_lies_near_the_curve(way):
    """The forward curve's own S and T by bisection of its closed form; a logistic through them is not it, but near."""
    h = np.linspace(-1.5, 1.5, 60001)
    d = curve(h, 1)
    r = float(np.interp(0.9 * DMAX, d, h) - np.interp(BASE + 0.04, d, h))
    found = tone.of_figures(way, BASE, DMAX, r, "")
    x = np.linspace(0.3, 1.5, 30)
    assert np.max(np.abs(found.change(x, 0.5) - known(way).change(x, 0.5))) < 0.08
    with pytest.raises(Refusal):
        tone.of_figures(way, DMAX, BASE, r, "")


@both
def test_colour_of_the_light_makes_no_difference(way):
    d = Print(WAYS[way]).density()
    plain = redraw.redrawn(exact(d), known(way), 0.5)
    warm = redraw.redrawn(exact(d, tint=(1.0, 0.8, 0.5), level=0.6), known(way), 0.5)
    assert np.max(np.abs(density_of(plain) - density_of(warm))) < 1e-3


@both
def test_light_uneven_by_a_fifth_moves_a_version_little(way):
    """A fifth from side to side is 0.09 D; what the half stop changed is off by no more than the curve's slope turns in that."""
    sense = WAYS[way]
    d = Print(sense).density()
    lit = exact(d, across=0.2)
    change = density_of(redraw.redrawn(lit, known(way), 0.5)) - density_of(lit.rgb)
    truth = Print(sense, 0.5).density() - d
    off = np.abs(change - truth)[FACE][told(d[FACE])]
    assert off.mean() < 0.03
    assert np.max(off) < 0.12


@both
def test_no_change_is_the_photo(way):
    seen = exact(Print(WAYS[way]).density())
    assert np.allclose(redraw.redrawn(seen, known(way), 0.0), seen.rgb, atol=1e-5)


@both
def test_plateaus_stay_where_they_are(way):
    """Dead black and blown white hold no exposure to move: no version may bring tone into them."""
    t = known(way)
    for d in (BASE - 0.05, BASE, DMAX, DMAX + 0.3):
        for s in STEPS:
            assert abs(float(t.change(np.array([d]), s)[0])) < 0.01
    flat = curve(scene() - 2.5 * WAYS[way], WAYS[way])
    assert t.white(flat).mean() == pytest.approx((flat < BASE + 0.04).mean())


# ── the border ──


@both
def test_a_clean_border(way):
    d = Print(WAYS[way]).density()
    found = redraw.border(exact(d), BORDER_AT, known(way))
    assert found.says == "clean"
    assert found.low < d[36, 400] < found.high


@pytest.mark.parametrize(("way", "border_d"), [("paper_negative", 0.45), ("direct_positive", 1.2)])
@pytest.mark.parametrize("veil", [0.0, 0.01])
def test_a_fogged_border(way, border_d, veil):
    found = redraw.border(exact(Print(WAYS[way], border_d=border_d).density(), veil=veil), BORDER_AT, known(way))
    assert found.says == "fogged"
    assert "fog, not exposure" in found.words


def test_glare_on_a_black_border_is_not_fog_and_is_taken_off():
    d = Print(-1).density()
    seen = exact(d, veil=0.012)
    found = redraw.border(seen, BORDER_AT, known("direct_positive"))
    assert found.says == "clean"
    assert found.density < DMAX - 0.2  # glare lightens a black; that it does is the reason for the bound
    assert found.high > DMAX
    clear = redraw.anchored(seen, found, known("direct_positive"))
    truth = Print(-1).density()[FACE]
    here = told(truth)
    assert np.max(np.abs(clear.density[FACE] - truth)[here]) < 0.03
    assert np.max(np.abs(seen.density[FACE] - truth)[here]) > 0.15


def test_a_border_that_fogs_on_one_kind_is_clean_on_the_other():
    for way, d in (("paper_negative", DMAX), ("direct_positive", BASE)):
        found = redraw.border(exact(Print(WAYS[way], border_d=d).density()), BORDER_AT, known(way))
        assert found.says == "fogged"


# ── what cannot be ──


def test_a_white_that_is_none_is_refused():
    y = linear(Print(1).density()).astype(np.float32)
    nowhere = np.zeros(y.shape[:2], dtype=bool)
    with pytest.raises(Refusal):
        redraw.against_white(y, ~nowhere, WHITE_AT)  # clipped
    with pytest.raises(Refusal):
        redraw.against_white(y * 0.05, nowhere, WHITE_AT)  # a dark photo


@pytest.mark.parametrize("points", [([], []), ([0, 1], [0.1, 1.5]), (list(range(9)), [0.5] * 9), (list(range(9))[::-1], list(range(9))),
                                    (list(range(9)), [float("nan")] * 9), (list(range(9)), list(range(9, 0, -1)))])  # fmt: skip
def test_a_table_that_is_no_curve_of_this_way_is_refused(points):
    with pytest.raises(Refusal):
        tone.measured(*points, "paper_negative", "")


def test_a_jpeg_shows_the_white_as_white():
    seen = exact(Print(1).density(), tint=(1.0, 0.8, 0.5))
    codes = np.asarray(Image.open(io.BytesIO(redraw.jpeg(redraw.redrawn(seen, known("paper_negative"), 0.5)))))
    assert codes.shape == (sheets.HIGH, sheets.WIDE, 3)
    card = codes[250:350, 20:60].reshape(-1, 3).mean(axis=0)
    assert np.max(np.abs(card - 243)) < 3  # 0.90 of white is code 243 [IEC-61966-2-1]
