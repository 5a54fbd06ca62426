"""Fog of an old box: a difference of two densities, kept with box and day, its drift a straight line by hand, and the plan warned."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firstsheet.acts import own, plan, scraps, scraps_fog
from firstsheet.paper.curve_scraps import fog_drift
from firstsheet.refusal import Refusal

from .conftest import answered, dim
from .strips_photo import PLACES, photo

READ = {"fixed": "0.06", "developed": "0.18", "density_sd": "0.01"}


def test_the_difference_is_the_fog(book):
    found = scraps_fog.measure(book, READ)
    assert found.fog == pytest.approx(0.12)
    reach = 1.645 * math.sqrt(2) * 0.01  # two readings, each ±0.01, nine in ten
    assert (found.low, found.high) == pytest.approx((0.12 - reach, 0.12 + reach), abs=1e-4)
    assert found.word == "clear"
    assert found.usable == "tests and dark pictures"
    assert (found.slower_low_stops, found.slower_high_stops) == (0.0, 1.5)
    assert "a doubt, no figure" in found.slower_words
    assert found.day == "2026-05-03"
    assert "One test so far" in found.drift_words
    assert "safety data sheet" in found.caution


@pytest.mark.parametrize(
    ("looks", "word"), [("same", "not told apart"), ("veiled", "slight"), ("grey", "clear"), ("dark", "heavy")]
)
def test_by_eye_in_words(book, looks, word):
    found = scraps_fog.measure(book, {"looks": looks})
    assert found.word == word
    assert found.by.startswith("by eye")
    assert found.high - found.low > 0.08  # an eye is worth no more
    if word == "heavy":
        assert found.slower_high_stops is None
        assert "nobody can say" in found.slower_words


@pytest.mark.parametrize("lamp", [(1.0, 1.0, 1.0), (1.0, 0.75, 0.5)])
def test_by_a_photo_beside_a_white(book, lamp):
    """Two greys that send back 0.70 and 0.50 of the light differ by log10(0.70/0.50) = 0.146 in density, whatever the lamp's colour."""
    linear = {
        "white": (0.8,) * 3,
        "first_base": (0.70,) * 3,
        "second_base": (0.50,) * 3,
        "first_mid": (0.3,) * 3,
        "second_mid": (0.3,) * 3,
    }
    at = {"white": PLACES["white"], "fixed_at": PLACES["first_base"], "developed_at": PLACES["second_base"]}
    found = scraps_fog.measure_picture(book, photo(linear, lamp), {k: f"{x},{y}" for k, (x, y) in at.items()})
    assert found.fog == pytest.approx(math.log10(0.70 / 0.50), abs=0.005)
    assert found.low < math.log10(0.70 / 0.50) < found.high
    assert found.by == "a photo beside a white"


def test_a_plan_from_a_fogged_box_says_so(book, clock):
    dim(book)
    before = plan.plan(book)
    assert not any("fogged" in n for n in before.notes)
    found = scraps_fog.measure(book, READ)
    warned = plan.plan(book)
    assert any("Box D is fogged, 0.12 D on 2026-05-03: grey whites" in n for n in warned.notes)
    assert warned.wanted_s == before.wanted_s  # no false precision: no figure moves
    clock.pass_days(400)
    assert any("last tested on 2026-05-03: test it again" in n for n in plan.plan(book).notes)
    scraps.take_back(book, found.number)
    assert not any("fog" in n for n in plan.plan(book).notes)
    scraps.stand(book, found.number)
    assert any("fogged" in n for n in plan.plan(book).notes)
    scraps_fog.measure(book, {"fixed": "0.06", "developed": "0.065", "density_sd": "0.005"})
    assert not any("fogged" in n for n in plan.plan(book).notes)  # the newest test holds


def test_fog_that_rises_is_told_with_its_rate(book):
    """0.04, 0.07, 0.10 a half-year apart rise 0.06 a year; of three equal weights the slope's sd is s/√2·1/(half a year), by hand."""
    for day, developed in (("2025-05-03", "0.10"), ("2025-11-01", "0.13"), ("2026-05-02", "0.16")):
        found = scraps_fog.measure(book, {"fixed": "0.06", "developed": developed, "density_sd": "0.01", "day": day})
    assert found.tests == 3
    assert found.drift_per_year == pytest.approx(0.06, abs=0.002)
    each = math.sqrt(2) * 0.01
    assert found.drift_sd == pytest.approx(each / (math.sqrt(2) * 182 / 365.25), rel=0.01)
    assert "fog rises, 0.06 ±0.02 D a year" in found.drift_words
    assert [r["body"]["day"] for r in scraps_fog.of_box(book, "D")] == ["2025-05-03", "2025-11-01", "2026-05-02"]
    again = scraps_fog.measure(book, {"fixed": "0.06", "developed": "0.17", "density_sd": "0.01", "day": "2026-05-02"})
    assert again.tests == 3  # the same day anew takes that day's place


def test_no_drift_from_one_month_or_from_noise():
    assert fog_drift([(2026.0, 0.05, 0.01)]) is None
    assert fog_drift([(2026.0, 0.05, 0.01), (2026.05, 0.2, 0.01)]) is None
    noise = fog_drift([(2025.0, 0.05, 0.02), (2026.0, 0.06, 0.02)])
    assert noise is not None
    assert noise.per_year == pytest.approx(0.01)
    assert noise.sd == pytest.approx(0.02 * math.sqrt(2))
    assert not noise.shown


def test_all_that_is_wrong_is_said_at_once(book):
    own.add_box(book, {"name": "P", "paper": "direct_positive", "size": "12x16 in", "sheets": "5"})
    with pytest.raises(Refusal) as refused:
        scraps_fog.measure(
            book,
            {
                "box": "P",
                "developer": "tea",
                "fixed": "white",
                "looks": "fine",
                "day": "2031-01-01",
                "white": "0.1,0.1",
            },
        )
    assert {p.where for p in refused.value.problems} >= {"box", "developer", "fixed", "looks", "day", "white"}
    with pytest.raises(Refusal, match="develops black"):
        scraps_fog.measure(book, READ | {"box": "P"})
    with pytest.raises(Refusal, match="Densities of both pieces"):
        scraps_fog.measure(book, {"box": "D"})
    with pytest.raises(Refusal, match="A density of each piece"):
        scraps_fog.measure(book, {"box": "D", "fixed": "0.06"})
    with pytest.raises(Refusal, match="not the paler"):
        scraps_fog.measure(book, {"fixed": "0.40", "developed": "0.05"})
    with pytest.raises(Refusal):
        scraps_fog.measure_picture(book, b"nothing", {})


FIELDS = ["fixed", "developed", "density_sd", "kind", "looks", "day", "box", "developer", "white", "fixed_at", "other"]
said = st.one_of(st.sampled_from(["0.06", "0.18", "veiled", "reflection", "D", "bought", "2025-01-01", "1:1", "0.1,0.1", "-9", "nan", "\x00", "½"]), st.text(max_size=15))  # fmt: skip


@settings(max_examples=120, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(st.dictionaries(st.sampled_from(FIELDS), said, max_size=6))
def test_whatever_is_typed_is_answered_or_refused(book, form):
    found, refused = answered(lambda: scraps_fog.measure(book, form))
    if found is None:
        assert refused <= {*FIELDS}, refused
    else:
        assert found.low <= found.fog <= found.high
