"""Looked at and shone through: the published layer, a closed form of inner reflections, a meter held behind, and refusals."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firstsheet.acts import calibrate, calibrate_curve, own, plan, scraps, scraps_readings, wish
from firstsheet.refusal import Refusal

from .backlit import layer_reflection, picture
from .conftest import answered

# A layer of density 0.47, 0.75, 1.05 by transmission reads about 0.96, 1.4, 1.9 by reflection, as handbooks print it.
LAYER = {"reflection": "0 0.96 1.40 1.90", "transmission": "0 0.47 0.75 1.05"}
TYPED = {
    "reflection": "0.06 1.02 1.46 1.96",
    "transmission": "0.58 1.05 1.33 1.63",
}  # the same, bare paper 0.06 and 0.58 in it


def told(book, number, of, **more):
    return scraps_readings.through(book, number, {"of": of} | more)


def test_the_published_layer_typed(book):
    found = scraps_readings.measure(book, LAYER)
    for r, t in ((0.96, 0.47), (1.40, 0.75), (1.90, 1.05)):
        (got,) = told(book, found.number, f"{r}")
        assert got.transmission == pytest.approx(t, abs=0.015)
        assert got.low < t < got.high
    assert (found.low, found.high) == (0, 1.9)
    assert found.plot_svg.startswith("<svg")
    assert "never the one looked at" in " ".join(found.notes)


def test_bare_paper_is_taken_off_and_put_on_again(book):
    found = scraps_readings.measure(book, TYPED)
    assert found.base_reflection == pytest.approx(0.06)
    assert found.base_transmission == pytest.approx(0.58)
    assert found.pairs[1].reflection == pytest.approx(0.96)
    (above,) = told(book, found.number, "0.96")
    (whole,) = told(book, found.number, "1.02", from_white="yes")
    assert above.transmission == pytest.approx(whole.transmission)
    assert whole.with_base == pytest.approx(0.58 + 0.47, abs=0.015)


@pytest.mark.parametrize(
    ("bare", "readings"),
    [
        ("800 lx", " ".join(f"{800 * 10**-d:.3f}" for d in (0.58, 1.05, 1.33, 1.63))),
        ("EV 12", " ".join(f"{12 - d / math.log10(2):.4f}" for d in (0.58, 1.05, 1.33, 1.63))),
    ],
)
def test_a_meter_held_behind(book, bare, readings):
    """Lux behind a patch are bare·10^−D, an EV is a stop: D = 0.30103·(EV bare − EV behind), by definition."""
    found = scraps_readings.measure(book, {"reflection": TYPED["reflection"], "transmission": readings, "bare": bare})
    assert [p.transmission for p in found.pairs] == pytest.approx([0, 0.47, 0.75, 1.05], abs=0.002)
    assert found.base_transmission == pytest.approx(0.58, abs=0.002)
    assert found.pairs[0].transmission_sd == pytest.approx(0.1 * math.log10(2))


D_T = [0.0, 0.02, 0.06, 0.15, 0.30, 0.45, 0.60, 0.75, 0.88, 0.95]


@pytest.fixture
def both(book):
    """One strip as two pictures: looked at, and on a light table with bare table round it; bare paper 0.55 by transmission."""
    looked = calibrate.look(
        book,
        picture([0.07 + layer_reflection(t) for t in D_T], 0.07, 0.35),
        {"steps": "10", "sense": "negative", "taken": "scan"},
    )
    shone = calibrate.look(
        book,
        picture([0.55 + t for t in D_T], 0.55, 1.0),
        {"steps": "10", "sense": "negative", "taken": "photo", "lit": "behind"},
    )
    return str(looked.strip), str(shone.strip)


def test_a_strip_photographed_both_ways(book, both):
    found = scraps_readings.measure(book, {"strip": both[0], "backlit": both[1]})
    for t in (0.1, 0.25, 0.4):  # the darkest steps are bounds in a photo without a card, and are left out
        (got,) = told(book, found.number, f"{layer_reflection(t):.3f}")
        assert got.transmission == pytest.approx(t, abs=0.04)
        assert got.low <= t <= got.high
        assert got.with_base is None  # bare paper itself was not read
    whole = scraps_readings.measure(
        book, {"strip": both[0], "backlit": both[1], "bare_at": "0.14,0.53", "paper_at": "0.211,0.53"}
    )
    assert whole.base_transmission == pytest.approx(
        0.55, abs=0.06
    )  # a bare table in one corner of the picture, off its middle


def test_the_two_are_never_mixed(book, both):
    with pytest.raises(Refusal) as refused:
        scraps_readings.measure(book, {"strip": both[1], "backlit": both[0]})
    assert {p.where for p in refused.value.problems} == {"strip", "backlit"}
    form = {"exposures": "first 0.5 lx·s, steps of √2", "light": "tungsten", "developer": "bought"}
    with pytest.raises(Refusal, match="by transmission"):
        calibrate_curve.curve(book, int(both[1]), form | {"kind": "reflection"})
    through = calibrate_curve.curve(book, int(both[1]), form)
    assert through.kind == "transmission"
    assert not through.teaches
    looked = calibrate_curve.curve(book, int(both[0]), form)
    assert looked.kind == "reflection"
    assert through.name != looked.name
    with pytest.raises(Refusal, match="lit from the front"):
        calibrate.look(
            book, picture([0.55 + t for t in D_T], 0.55, 1.0), {"sense": "negative", "lit": "behind", "card": "yes"}
        )


def test_a_contact_print_goes_by_what_shines_through(book):
    """A negative that reads 1.02 looked at (0.96 above bare paper) is 0.58 + 0.47 = 1.05 to print through."""
    own.add_box(book, {"name": "print", "paper": "enlarging", "size": "12x16 in", "sheets": "9"})
    wish.say(book, {"box": "print", "way": "contact_print", "light": "tungsten", "reading": "4 lx on the board"})
    with pytest.raises(Refusal, match="none yet"):
        plan.plan(book, {"negative": "1.02 looked at"})
    found = scraps_readings.measure(book, TYPED | {"box": "D"})
    seen = plan.plan(book, {"negative": "1.02 looked at, box D"})
    known = plan.plan(book, {"negative": "1.05"})
    assert seen.wanted_s == pytest.approx(known.wanted_s, rel=0.03)
    assert (
        plan.plan(book, {"negative": "1.02 by reflection"}).wanted_s == seen.wanted_s
    )  # the one box that was read both ways
    with pytest.raises(Refusal, match=r"from 0\.00 to 1\.90"):
        plan.plan(book, {"negative": "2.5 looked at"})
    with pytest.raises(Refusal, match="A box whose patches"):
        plan.plan(book, {"negative": "1.02 looked at, box Q"})
    scraps.take_back(book, found.number)
    with pytest.raises(Refusal, match="none yet"):
        plan.plan(book, {"negative": "1.02 looked at"})


def test_nothing_outside_what_was_measured(book):
    found = scraps_readings.measure(book, LAYER)
    with pytest.raises(Refusal) as refused:
        told(book, found.number, "0.5 2.2 2.5")
    assert len(refused.value.problems) == 2
    number = scraps.keep(book, "two_readings", "x", {"box": "D", "developer": "bought", "table": [[0, 0, 0, 0], [1, 0.5, 0.4, 0.6]], "base_reflection": None,
                         "base_transmission": None, "line": "", "stands": True, "evidence": {}})  # fmt: skip
    with pytest.raises(Refusal, match="bare paper itself"):
        told(book, number, "0.5", from_white="yes")


def test_all_that_is_wrong_is_said_at_once(book):
    with pytest.raises(Refusal) as refused:
        scraps_readings.measure(
            book,
            {
                "box": "Q",
                "reflection": "0.1 dark",
                "bare": "bright",
                "backlit": "7",
                "transmission": "0.1",
                "bare_at": "0.1,0.1",
                "reflection_sd": "9",
            },
        )
    assert {p.where.split(".")[0] for p in refused.value.problems} >= {
        "box",
        "reflection",
        "bare",
        "transmission",
        "paper_at",
        "reflection_sd",
    }
    for form, where in (
        ({}, {"reflection", "transmission"}),
        ({"reflection": "0 0.9 1.4", "transmission": "0 0.5"}, {"transmission"}),
        ({"reflection": "0 0.9 1.4", "transmission": "900 500 200", "bare": "800 lx"}, {"transmission"}),
        ({"reflection": "0.5 0.9 1.4", "transmission": "0.5 0.7 0.9", "reflection_base": "1.2"}, {"reflection_base"}),
        ({"reflection": "0 0.9 1.4", "transmission": "0 0.9 0.2"}, {"pairs"}),
        ({"reflection": "0.9 0.9 0.9", "transmission": "0.5 0.5 0.5"}, {"pairs"}),
    ):
        with pytest.raises(Refusal) as refused:
            scraps_readings.measure(book, form)
        assert {p.where for p in refused.value.problems} == where, form


FIELDS = ["strip", "backlit", "reflection", "transmission", "bare", "reflection_base", "transmission_base", "bare_at", "paper_at", "reflection_sd", "box", "other"]  # fmt: skip
said = st.one_of(st.sampled_from(["0 0.96 1.4 1.9", "0 0.47 0.75 1.05", "800 lx", "EV 12", "EV −3", "700 300 100", "1", "0.5,0.5", "nan", "-1", "\x00", "1e9", "D"]), st.text(max_size=15))  # fmt: skip


@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(st.dictionaries(st.sampled_from(FIELDS), said, max_size=7))
def test_whatever_is_typed_is_answered_or_refused(book, form):
    found, refused = answered(lambda: scraps_readings.measure(book, form))
    if found is None:
        assert refused <= {*FIELDS, "pairs", "developer", ""}, refused
    else:
        assert found.low < found.high


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.text(max_size=30))
def test_a_negative_said_in_any_words_is_a_density_or_refused(text):
    from firstsheet.acts.scraps_in_plans import negative_density

    class Empty:
        def things(self, kind):
            return []

    found, refused = answered(lambda: negative_density(Empty(), text))
    assert refused or 0 <= found <= 4
