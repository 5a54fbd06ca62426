"""Two developers on one paper against closed forms: both curves are logistic, D = b + R/(1 + exp(−k(log H − m))), so mid-tones
(0.60 above base), slopes there and the log range from S to T are known by hand [ISO-6846]."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firstsheet.acts import calibrate_curve, learn, plan, scraps, scraps_developers, scraps_stain, wish
from firstsheet.refusal import Refusal

from .conftest import RISE, K, M, answered, curve_form, density, dim, typed
from .strips_photo import COLOURS, photo, said

SOFT = {"base": 0.14, "rise": 1.60, "k": 3.6, "m": 0.62}
STOP = math.log10(2)


def mid(rise=RISE, k=K, m=M, **_):
    return m - math.log(rise / 0.6 - 1) / k


def slope(rise=RISE, k=K, **_):
    return k * 0.6 * (1 - 0.6 / rise)


def span(rise=RISE, k=K, **_):
    return (math.log(9) - math.log(0.04 / (rise - 0.04))) / k  # from 0.04 above base to 90 % of the range


@pytest.fixture
def pair(book):
    dim(book)
    first = calibrate_curve.curve(book, None, curve_form(), teach=False)
    second = calibrate_curve.curve(book, None, curve_form("brew", **SOFT), teach=False)
    return {"first": str(first.curve), "second": str(second.curve)}


def figure(found, key, which=0):
    return [f for f in found.figures if f.key == key][which]


def test_speed_contrast_and_range_of_closed_forms(book, pair):
    found = scraps_developers.compare(book, pair)
    speed, contrast, change = found.figures[:3]
    slower = (mid(**SOFT) - mid()) / STOP
    assert speed.value == pytest.approx(-slower, abs=0.05)
    assert speed.low < -slower < speed.high
    assert contrast.value == pytest.approx(slope(**SOFT) / slope(), rel=0.05)
    assert contrast.low < slope(**SOFT) / slope() < contrast.high
    assert change.low < 100 * (span(**SOFT) - span()) < change.high
    assert change.value == pytest.approx(100 * (span(**SOFT) - span()), abs=8)
    assert figure(found, "slope").value == pytest.approx(slope(), rel=0.06)
    assert figure(found, "slope", 1).value == pytest.approx(slope(**SOFT), rel=0.06)
    assert found.same_exposures
    assert "slower" in found.sentence
    assert "softer" in found.sentence
    assert found.plot_svg.startswith("<svg")
    assert "bought" in found.plot_svg
    assert "brew" in found.plot_svg


def test_the_lux_falls_out_when_both_had_the_same_light(book, pair):
    """The meter's ±0.25 stop and each reading's ±0.10 are in the speed of strips exposed apart, and in neither that were not."""
    same = figure(scraps_developers.compare(book, pair | {"same": "yes"}), "speed")
    apart = figure(scraps_developers.compare(book, pair | {"same": "no"}), "speed")
    assert apart.value == pytest.approx(same.value, abs=1e-9)
    assert same.high - same.low < 0.25
    # by hand: one meter for both, so ±0.10 twice: 1.645·√2·0.10 either way, in quadrature with the curves'
    by_hand = math.hypot((same.high - same.low) / 2, 1.645 * math.sqrt(2) * 0.10)
    assert (apart.high - apart.low) / 2 == pytest.approx(by_hand, rel=0.05)


def test_the_belief_learns_the_difference_of_the_two_developers(book, pair):
    """Prior of coffee less ordinary: 0 ± √(0.5² + 0.2² + 0.1² + 0.2²); conditioned by hand on the difference and its doubt."""
    found = scraps_developers.compare(book, pair)
    known = plan.known_now(book)
    told = book.current("comparison", "bought and brew with D, tungsten")["body"]
    prior = 0.5**2 + 0.2**2 + 0.1**2 + 0.2**2
    gain = prior / (prior + told["sd"] ** 2)
    from firstsheet.belief import prior as beliefs

    effects = [*beliefs.developer_effects("brew", "coffee", "D")]
    minus = [*beliefs.developer_effects("bought", "paper", "D")]
    difference = known.predict(effects)[0] - known.predict(minus)[0]
    slower = -figure(found, "speed").value
    assert told["stops"] == pytest.approx(slower, abs=0.02)
    assert difference == pytest.approx(gain * told["stops"], rel=0.02)
    assert {e[0] for e in told["effects"]} == {"dev:coffee", "devbox:brew|D", "dev:paper", "devbox:bought|D"}


def test_the_next_plan_in_that_developer_moves(book, pair):
    wish.say(book, {"developer": "brew"})
    before = plan.plan(book)
    found = scraps_developers.compare(book, pair)
    after = plan.plan(book)
    assert after.wanted_s > before.wanted_s
    assert after.sd_stops < before.sd_stops
    assert found.next_plan.before_s == pytest.approx(before.time_s)
    assert found.next_plan.after_s == pytest.approx(after.time_s)
    gone = scraps.take_back(book, found.number)
    assert plan.plan(book).wanted_s == before.wanted_s
    scraps.stand(book, gone)
    assert plan.plan(book).wanted_s == pytest.approx(after.wanted_s, rel=1e-9)


def test_what_the_curves_say_already_is_not_said_twice(book, pair):
    """Both curves counted imply the difference with the sum of their variances; with the comparison the whole is worth what the
    comparison alone is worth, by inverse variances, whichever came first."""
    found = scraps_developers.compare(book, pair)
    name = "bought and brew with D, tungsten"
    alone = book.current("comparison", name)["body"]["sd"]
    counted = [calibrate_curve.count_it(book, int(n)) for n in pair.values()]
    left = book.current("comparison", name)["body"]["sd"]
    implied = sum(c.sd_stops**2 for c in counted)
    assert left**-2 + 1 / implied == pytest.approx(alone**-2)
    calibrate_curve.withdraw(book, counted[0].curve)
    assert book.current("comparison", name)["body"]["sd"] == pytest.approx(alone)
    assert scraps_developers.of(book, found.number).stands


def test_relative_strips_compare_but_only_at_one_light(book):
    """Strips without lux: half stops either way, the comparison teaches all the same, for the light was one."""
    form = {"exposures": "steps of √2"}
    rows = []
    for developer, shape in (("bought", {}), ("brew", SOFT)):
        steps = [-0.6 + 0.5 * STOP * k for k in range(16)]
        rows.append(
            calibrate_curve.curve(
                book, None, curve_form(developer) | form | {"densities": typed(density(h, **shape) for h in steps)}
            )
        )
    found = scraps_developers.compare(book, {"first": str(rows[0].curve), "second": str(rows[1].curve)})
    assert figure(found, "speed").value == pytest.approx(-(mid(**SOFT) - mid()) / STOP, abs=0.06)
    assert found.adds
    assert len(learn.observations(book)) == 1
    lux = calibrate_curve.curve(book, None, curve_form("brew", **SOFT), teach=False)
    with pytest.raises(Refusal, match="one scale"):
        scraps_developers.compare(book, {"first": str(rows[0].curve), "second": str(lux.curve)})


def test_all_that_is_wrong_is_said_at_once(book, pair):
    lamp = calibrate_curve.curve(book, None, curve_form(light="sun") | {"kind": "transmission"}, teach=False)
    with pytest.raises(Refusal) as refused:
        scraps_developers.compare(book, {"first": pair["first"], "second": str(lamp.curve), "same": "perhaps"})
    told = [p.allowed for p in refused.value.problems]
    assert any("one kind of light" in w for w in told)
    assert any("by reflection" in w for w in told)
    assert any("Two developers" in w for w in told)
    assert any("yes or no" in w for w in told)
    named = scraps_developers.compare(book, {"first": "bought", "second": "brew", "box": "D"}, teach=False)
    assert named.curves == (lamp.curve - 2, lamp.curve - 1)  # by reflection, the newest in each
    for form in ({}, {"first": "x", "second": "99999"}, {"first": "bought", "second": "brew", "box": "Q"}):
        with pytest.raises(Refusal) as refused:
            scraps_developers.compare(book, form)
        assert {p.where.split(".")[0] for p in refused.value.problems} == {"first", "second"}


def test_a_lamps_strip_does_not_take_a_daylight_ones_place(book, pair):
    daylight = calibrate_curve.curve(book, None, curve_form(light="sun"))
    lamp = calibrate_curve.curve(book, None, curve_form(light="tungsten"))
    through = calibrate_curve.curve(book, None, curve_form(light="tungsten") | {"kind": "transmission"})
    again = calibrate_curve.curve(book, None, curve_form(light="sun"))
    assert daylight.name == again.name
    assert len({daylight.name, lamp.name, through.name}) == 3
    assert calibrate_curve.kept(book, lamp.curve).taught
    assert len(learn.observations(book)) == 2


# ── the stain ──

CREAM = COLOURS["second_base"]


@pytest.mark.parametrize("lamp", [(1.0, 1.0, 1.0), (1.0, 0.8, 0.55)])
def test_the_stain_of_a_photo(book, pair, lamp):
    """A cream of known linear light; its L*a*b* under D65 by the definition itself, written out here."""
    found = scraps_developers.compare(book, pair, teach=False)
    n = scraps_stain.look_at(book, found.number, photo(COLOURS, lamp), said(illuminant="D65"))
    told = scraps_developers.of(book, n)
    s = told.stain
    r, g, b = (v / 0.8 * 10**-0.05 for v in CREAM)
    x = (0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / 0.95047
    y = 0.2126729 * r + 0.7151522 * g + 0.0721750 * b
    z = (0.0193339 * r + 0.1191920 * g + 0.9503041 * b) / 1.08883
    by_hand = 116 * y ** (1 / 3) - 16, 500 * (x ** (1 / 3) - y ** (1 / 3)), 200 * (y ** (1 / 3) - z ** (1 / 3))
    assert (s.second_base.lightness, s.second_base.a, s.second_base.b) == pytest.approx(by_hand, abs=0.8)
    assert abs(s.first_base.a) < 0.8
    assert abs(s.first_base.b) < 0.8
    assert "warm" in s.base_words
    assert "warm" in s.mid_words
    assert s.first_base.words.startswith("neutral")
    assert s.illuminant == "D65"
    assert told.number == n
    assert scraps_developers.of(book, found.number).stain is not None  # by its first number too
    assert not told.stands


def test_a_picture_that_cannot_tell_is_refused_and_not_kept(book, pair):
    found = scraps_developers.compare(book, pair, teach=False)
    burnt = photo(COLOURS | {"white": (1.0, 1.0, 1.0), "first_base": (1.0, 1.0, 1.0)})
    with pytest.raises(Refusal) as refused:
        scraps_stain.look_at(book, found.number, burnt, said())
    assert {p.where for p in refused.value.problems} == {"white", "first_base"}
    with pytest.raises(Refusal) as refused:
        scraps_stain.look_at(
            book, found.number, photo(COLOURS), {"white": "2,2", "illuminant": "candle", "taken": "drawn"}
        )
    assert {p.where for p in refused.value.problems} >= {"white", "first_base", "second_mid", "illuminant", "taken"}
    with pytest.raises(Refusal):
        scraps_stain.look_at(book, found.number, b"no picture", said())
    with pytest.raises(Refusal):
        book.get_picture(1)


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(
    st.dictionaries(
        st.sampled_from(["first", "second", "same", "other"]),
        st.one_of(st.sampled_from(["6", "7", "1", "yes", "", "-1", "½", "\x00"]), st.text(max_size=12)),
        max_size=4,
    )
)
def test_whatever_is_typed_is_answered_or_refused(book, pair, form):
    found, refused = answered(lambda: scraps_developers.compare(book, form, teach=False))
    assert found is not None or refused
