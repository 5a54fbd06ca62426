"""Exposure and paper against figures from outside; each table's source is in authorities/exposure/cases.toml."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from statistics import NormalDist

import pytest

from firstsheet.exposure import chain, hand, latitude
from firstsheet.paper import reciprocity

CASES = tomllib.loads((Path(__file__).parents[2] / "authorities/exposure/cases.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES["nd"], ids=lambda c: f"D {c['density']}")
def test_a_neutral_filter_lets_through_what_its_table_says(case: dict) -> None:
    """Printed in whole per cent, so within half of one."""
    assert 100 * 2 ** -chain.filter_stops(case["density"]) == pytest.approx(case["transmission_percent"], abs=0.5)


@pytest.mark.parametrize("case", CASES["factor"], ids=lambda c: f"x{c['factor']:g}")
def test_factor_to_stops(case: dict) -> None:
    """Tables print thirds of a stop; 1000 is called ten stops and is 9.97."""
    assert chain.filter_stops(math.log10(case["factor"])) == pytest.approx(case["stops"], abs=0.04)


def test_filters_stacked_add_their_stops() -> None:
    """Closed form: 10^(a+b) = 10^a·10^b."""
    assert chain.filter_stops(0.9 + 0.3) == pytest.approx(chain.filter_stops(0.9) + chain.filter_stops(0.3))
    assert chain.filter_stops(0.0) == 0.0


@pytest.mark.parametrize("case", CASES["schwarzschild"], ids=lambda c: f"{c['metered_s']:g} s")
def test_schwarzschild(case: dict) -> None:
    assert reciprocity.corrected_s(case["metered_s"], 1 / case["p"] - 1) == pytest.approx(case["given_s"], rel=1e-3)


@pytest.mark.parametrize("metered_s", [0.001, 0.1, 0.5, 0.999, 1.0])
def test_schwarzschild_never_shortens(metered_s: float) -> None:
    """Law: the power alone would shorten below one second (0.5^1.163 = 0.447); it is one-sided here."""
    assert reciprocity.corrected_s(metered_s, 1 / 0.86 - 1) == metered_s
    assert reciprocity.corrected_s(60.0, -0.2) == 60.0


def test_schwarzschild_is_smooth_at_its_join_and_undone_by_its_inverse() -> None:
    """Laws: continuous at 1 s; the inverse lever arm brings the metered time back."""
    r = 1 / 0.86 - 1
    assert reciprocity.corrected_s(1 + 1e-9, r) == pytest.approx(1.0, abs=1e-8)
    for metered_s in (1.5, 7.119, 300.0):
        given = reciprocity.corrected_s(metered_s, r)
        assert 2 ** reciprocity.metered_stops_from_given(given, r) == pytest.approx(metered_s)


@pytest.mark.parametrize("case", CASES["phi"], ids=lambda c: f"z {c['z']:g}")
def test_the_normal_table(case: dict) -> None:
    assert latitude.normal_cdf(case["z"]) == pytest.approx(case["p"], abs=6e-5)
    assert latitude.normal_cdf(-case["z"]) == pytest.approx(1 - case["p"], abs=6e-5)


def test_keeper_chance_closed_forms() -> None:
    """68.27 % within one sd, 95.45 % within two (any normal table); nothing off and no doubt is certain; far off is hopeless."""
    assert latitude.keeper_chance(0.5, 0.5) == pytest.approx(0.6827, abs=5e-5)
    assert latitude.keeper_chance(0.25, 0.5) == pytest.approx(0.9545, abs=5e-5)
    assert latitude.keeper_chance(0.0, 0.5) == 1.0
    assert latitude.keeper_chance(0.0, 0.5, off_stops=0.6) == 0.0
    assert latitude.keeper_chance(0.1, 0.5, off_stops=3.0) < 1e-12


def test_keeper_chance_against_the_standard_library() -> None:
    """Reference: Python's statistics.NormalDist."""
    for sd, lat, off in ((0.4, 0.5, 0.1), (1.2, 0.75, -0.3), (0.2, 0.33, 0.33)):
        d = NormalDist(off, sd)
        assert latitude.keeper_chance(sd, lat, off) == pytest.approx(d.cdf(lat) - d.cdf(-lat), abs=1e-12)


def test_the_ranges_hold_half_and_nine_tenths() -> None:
    """Reference: Python's statistics.NormalDist, in stops about the median."""
    spread = latitude.spread_s(4.0, 0.8)
    d = NormalDist(0.0, 0.8)
    for key, share in (("range50_s", 0.5), ("range90_s", 0.9)):
        low, high = (math.log2(t / 4.0) for t in spread[key])
        assert d.cdf(high) - d.cdf(low) == pytest.approx(share, abs=1e-9)


@pytest.mark.parametrize("case", CASES["paper_speed"], ids=lambda c: f"P {c['p']:g}")
def test_paper_speed_as_camera_index(case: dict) -> None:
    """[ISO-6846] from memory."""
    assert chain.ei_from_iso_p(case["p"]) == pytest.approx(case["ei"], abs=5e-3)


def test_the_meter_equation_from_the_chain() -> None:
    """N²/t = L·S/K with K 12.5 [ISO-2720]: L 3200 cd/m², EI 100, f/16 → 1/100 s (a bright day at the customary f/16)."""
    lx, _ = chain.paper_lx_from_scene(3200.0, chain.Optics(16.0))
    assert chain.needed_lx_s(100.0) / lx == pytest.approx(1 / 100, rel=1e-12)


def test_half_as_large_a_picture_of_the_same_size_needs_two_and_a_quarter() -> None:
    """[SS0512]: extension 18 in, focal length 12 in: 8 s become 18 s."""
    stops = 2 * math.log2(18 / 12)
    far, _ = chain.paper_lx_from_scene(100.0, chain.Optics(16.0))
    near, _ = chain.paper_lx_from_scene(100.0, chain.Optics(16.0, extension_stops=stops))
    assert 8 * far / near == pytest.approx(18.0)


def test_a_strip_is_centred_and_even() -> None:
    """Closed form: four steps a stop apart about the middle lie at −1.5, −0.5, +0.5, +1.5 stop."""
    times = hand.strip_times_s(8.0, 1.0)
    assert [math.log2(t / 8.0) for t in times] == pytest.approx([-1.5, -0.5, 0.5, 1.5])


def test_a_strip_under_a_lamp_is_of_five_finer_steps() -> None:
    """By hand: 0.3 stop of doubt asks for ±0.45; five steps of ¼ reach ±0.625, so the outer ones lie half a stop off. 0.5 asks for ±0.75,
    which ¼ misses and ⅓ (±0.833) has. On the board half a stop reaches ±1, enough below 0.45 of doubt."""
    times = hand.strip_times_s(8.0, 0.3, hand.UNDER_LAMP)
    assert [math.log2(t / 8.0) for t in times] == pytest.approx([-0.5, -0.25, 0.0, 0.25, 0.5])
    paces = [hand.strip_pace_stops(sd, hand.UNDER_LAMP) for sd in (0.05, 0.41, 0.42, 0.55, 0.56, 0.83, 0.84, 2.0)]
    assert paces == [1 / 4, 1 / 4, 1 / 3, 1 / 3, 1 / 2, 1 / 2, 1.0, 1.0]
    assert [hand.strip_pace_stops(sd) for sd in (0.1, 0.449, 0.451, 2.0)] == [0.5, 0.5, 1.0, 1.0]


def test_a_hand_is_surer_of_long_times() -> None:
    """Law: the same tenth of a second is less of a long exposure; and a shutter is surer than a hand."""
    sds = [hand.giving(s, "cap", ()).sd_stops for s in (1.0, 2.0, 8.0, 60.0)]
    assert sds == sorted(sds, reverse=True)
    assert hand.giving(1.0, "shutter", (0.5, 1.0, 2.0)).sd_stops < sds[0]


def test_a_shutter_gives_no_less_than_its_shortest_speed_and_is_held_open_beyond_its_longest() -> None:
    """Closed form: 1/60 s for 1/480 s is three stops too much; 1.4 s is half a stop from 1 s. The lens is stopped down first."""
    speeds = (1.0, 1 / 2, 1 / 4, 1 / 60)
    short = hand.giving(1 / 480, "shutter", speeds)
    assert (short.time_s, short.off_stops, short.how) == (1 / 60, pytest.approx(3.0), "by the shutter")
    long = hand.giving(1.4, "shutter", speeds)
    assert (long.time_s, long.how) == (pytest.approx(1.4), "by the shutter, held open")
    seconds_at = {4.0: 1 / 480, 8.0: 1 / 120, 11.3: 1 / 60, 16.0: 1 / 30}
    assert hand.choose_stop(seconds_at, "shutter", speeds) == 11.3
    assert hand.choose_stop(seconds_at, "shutter") == 16.0  # no speeds said: it is a hand's, and the smallest stop there is


def test_what_lies_off_a_strips_ends_is_still_in_doubt() -> None:
    """Against random draws, and at reach 0 the half-normal's closed form 1 − 2/π; a strip's reach from its own times."""
    from itertools import product
    from random import Random

    from firstsheet.exposure.latitude import beyond

    draw = Random(7)
    drawn = [draw.gauss(0.0, 1.45) for _ in range(100_000)]
    out = [x for x in drawn if x > 2.0]
    chance, variance = beyond(1.45, 2.0)
    assert chance == pytest.approx(sum(abs(x) > 2.0 for x in drawn) / len(drawn), abs=0.005)
    mean = sum(out) / len(out)
    assert variance == pytest.approx(sum((x - mean) ** 2 for x in out) / len(out), rel=0.08)
    assert beyond(2.0, 1e-9) == (pytest.approx(1.0), pytest.approx(4.0 * (1.0 - 2.0 / math.pi)))
    assert beyond(0.0, 1.0) == (0.0, 0.0)
    assert beyond(0.1, 1.0) == (0.0, 0.0)
    for sd, steps in product((0.3, 1.0), (hand.ON_BOARD, hand.UNDER_LAMP)):
        times = hand.strip_times_s(1.0, sd, steps)
        ends = math.log2(times[-1]) + 0.5 * math.log2(times[1] / times[0])
        assert hand.strip_reach_stops(sd, steps) == pytest.approx(ends)
