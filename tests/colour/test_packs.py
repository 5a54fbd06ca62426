"""Filter arithmetic against published packs; the solver against every pack of a 5-unit grid; the direction of each change."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.acts import pack as acts
from firstsheet.acts import pack_known
from firstsheet.colour import cast, layers, learned, pack, ring
from firstsheet.refusal import Refusal

excess = st.tuples(st.floats(-0.3, 0.3), st.floats(-0.2, 1.5), st.floats(-0.2, 2.0))


def test_the_published_pack_loses_its_neutral():
    # 46Y + 38M + 12C is 34Y + 26M: US Army SS0514 p. 5-6 [SS0514]; 10Y + 10M + 10C is only grey [SS0514]
    assert pack.without_neutral((46, 38, 12)) == (34, 26, 0)
    assert pack.in_words(pack.without_neutral((46, 38, 12))) == "34Y + 26M"
    assert pack.without_neutral((10, 10, 10)) == (0, 0, 0)


def test_twenty_yellow_and_twenty_magenta_are_twenty_red():
    # CC20Y + CC20M = CC20R [SS0514]
    assert acts._pack("20Y 20M") == acts._pack("20R") == (20, 20, 0)


def test_a_viewing_filter_counts_half_on_a_negative_working_print_and_full_on_a_reversal():
    # change by half of the viewing filter [NAVEDTRA-14209]; for reversal the full step: common practice, no source
    seen = cast.said("green", "clearly")
    assert cast.change(seen, sense=-1, share=0.5) == pytest.approx((0, -10, 0), abs=1e-9)
    assert cast.change(seen) == pytest.approx((0, 20, 0), abs=1e-9)


# common practice, no source: cast seen on a reversal, what is added at the lens, a slight one being ten units
@pytest.mark.parametrize(("colour", "added"), [("blue", (10, 0)), ("cyan", (10, 10)), ("green", (0, 10)), ("magenta", (0, -10)), ("red", (-10, -10)), ("yellow", (-10, 0))])
def test_the_colour_that_is_lacking_is_added_in_full(colour, added):
    y, m, c = cast.change(cast.said(colour, "slightly"))
    assert (y, m) == pytest.approx(added, abs=1e-9)
    assert c == 0
    assert cast.change(cast.said(colour, "slightly"), sense=-1) == pytest.approx((-added[0], -added[1], 0), abs=1e-9)


@given(excess)
@settings(max_examples=60, deadline=None)
def test_two_dyes_and_time_level_any_light_without_grey(state):
    try:
        found = pack.level(np.array(state), layers.NOMINAL)
    except Refusal:
        return
    assert min(found.real) == 0
    assert pack.left(np.array(state), layers.NOMINAL, found) == pytest.approx([0, 0, 0], abs=1e-9)


@given(excess)
@settings(max_examples=10, deadline=None)
def test_the_solver_is_never_worse_than_every_pack_of_a_grid(state):
    state = np.array(state)

    def cast_left(p):
        left = state - layers.NOMINAL @ np.array(p, float)
        return float(((left - layers.luminance(left)) ** 2).sum())

    steps = range(0, 251, 5)
    best = min(cast_left((y, m, c)) for a, b in itertools.product(steps, steps) for y, m, c in ((a, b, 0), (a, 0, b), (0, a, b)))
    found = pack.of_gels(state, layers.NOMINAL)
    assert cast_left(found.real) <= best + 1e-6
    assert min(found.real) == 0
    assert layers.luminance(pack.left(state, layers.NOMINAL, found)) == pytest.approx(0, abs=1e-9)


def test_owned_gels_are_tried_in_every_sum_by_what_they_measured():
    gels = pack.read_gels("20Y 40Y=36 80Y 10M 40M")
    state = np.array([0.0, 0.50, 1.16])
    found = pack.of_gels(state, layers.NOMINAL, gels)
    best = math.inf
    for use in itertools.product((0, 1), repeat=len(gels)):
        p = np.array([sum(g.real for g, u in zip(gels, use, strict=True) if u and g.dye == d) for d in "YMC"])
        left = state - layers.NOMINAL @ p
        best = min(best, float(((left - layers.luminance(left)) ** 2).sum()))
    left = pack.left(state, layers.NOMINAL, found)
    assert float((left**2).sum()) == pytest.approx(best, abs=1e-6)
    with pytest.raises(Refusal):
        pack.read_gels("20Q")


def test_the_prior_pack_for_sun_lies_where_practitioners_found_theirs():
    # yellow 160 ± 45, magenta 80 ± 35: reports of practitioners, weak, no source
    found = pack.of_gels(learned.prior(*pack_known.prior_excess("sun")).mean, pack_known.matrix_of("sun"))
    assert abs(found.real[0] - 160) <= 45
    assert abs(found.real[1] - 80) <= 35
    assert found.real[2] == 0
    shade = pack.of_gels(learned.prior(*pack_known.prior_excess("open_shade")).mean, pack_known.matrix_of("open_shade"))
    assert shade.real[0] - found.real[0] >= 10  # open shade wants more yellow: common practice, no source


def test_cyan_and_dark_is_told_apart_from_cyan():
    assert cast.dark_before_cyan(cast.said("cyan", "clearly", "too_dark"))
    assert not cast.dark_before_cyan(cast.said("cyan", "clearly"))


def test_casts_that_oppose_each_other_are_crossed():
    assert cast.crossed(cast.said("blue"), cast.said("yellow"))
    assert not cast.crossed(cast.said("blue"), cast.said("cyan"))
    assert not cast.crossed(cast.said("neutral"), cast.said("cyan"))


def test_a_grey_of_eighteen_percent_is_neutral_and_a_dark_one_had_too_little():
    # a grey card reflects 18 %: common practice, no source
    assert cast.measured((0.18, 0.18, 0.18), (1, 1, 1)).state == pytest.approx((0, 0, 0), abs=1e-3)
    assert max(cast.measured((0.09, 0.09, 0.09), (1, 1, 1)).state) < 0
    bluish = cast.measured((0.18, 0.18, 0.25), (1, 1, 1))
    assert cast.change(bluish)[0] > 5  # too blue: more yellow
    with pytest.raises(Refusal):
        cast.measured((0.95, 0.95, 0.95), (1, 1, 1))


def test_a_sheet_without_doubt_is_believed_and_doubt_only_falls():
    before = learned.prior(0.8, 1.6)
    exact = cast.Seen((0.0, 0.0, 0.0), 0.0, 0.0, "")
    pack_, time_ = (150.0, 70.0, 0.0), 0.1
    after = learned.learn(before, layers.NOMINAL, pack_, time_, exact)
    # a limit in closed form: nearly no noise beside a wide prior, so the mean goes to what was filtered
    assert after.mean == pytest.approx(layers.NOMINAL @ np.array(pack_) - time_, abs=0.08)
    assert np.linalg.eigvalsh(before.cov - after.cov).min() > -1e-9


def test_a_ring_has_its_centre_and_nothing_below_no_filter():
    belief = learned.prior(0.8, 1.6)
    for n in (4, 6):
        found = ring.choose(belief, layers.NOMINAL, ((150, 20, 0), 0.0), n)
        assert len(set(found)) == n
        assert found[0] == (0, 0, 0, 0)
        assert all(min(p) >= 0 for p, _ in ring.packs((150, 20, 0), 0.0, found))
    with pytest.raises(Refusal):
        ring.choose(belief, layers.NOMINAL, ((150, 20, 0), 0.0), 5)
    with pytest.raises(Refusal, match="differ"):
        ring.choose(belief, layers.NOMINAL, ((150, 20, 0), 0.0), 4, ((0, 0, 0, 1.0),))


def test_the_drawing_is_to_one_scale_and_its_ellipse_holds_nine_in_ten():
    # closed form: 90 % of a plane Gaussian lie within 2.146 sd
    import re

    from firstsheet.drawing.pack_doubt import pack_doubt

    svg = pack_doubt((150.0, 100.0), (400.0, 0.0, 100.0))
    ring = [tuple(map(float, p.split(","))) for p in re.search(r'points="([^"]+)"', svg)[1].split()]
    across = max(x for x, _ in ring) - min(x for x, _ in ring)
    up = max(y for _, y in ring) - min(y for _, y in ring)
    assert across / up == pytest.approx(2.0, abs=0.01)
    ticks = re.findall(r'<text x="([0-9.]+)" y="[0-9.]+" text-anchor="middle">(\d+)<', svg)
    scale = (float(ticks[1][0]) - float(ticks[0][0])) / (int(ticks[1][1]) - int(ticks[0][1]))
    assert across / scale == pytest.approx(2 * 2.146 * 20, rel=0.01)
