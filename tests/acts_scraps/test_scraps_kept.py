"""What is kept stays kept: a newer answer takes an older one's place only when it is let, and either may be had back."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import (
    calibrate,
    calibrate_curve,
    known,
    learn,
    own,
    plan,
    scraps,
    scraps_developers,
    scraps_fog,
    scraps_readings,
    scraps_reciprocity,
    scraps_words,
    wish,
)
from firstsheet.refusal import Refusal

from .backlit import picture
from .conftest import LOG_H, curve_form, density, dim, typed


def lost(book, p, teach):
    form = {"given": "1 s at f/8, 64 s at f/64", "timing": "timer", "density_sd": "0.005"}
    ds = typed(density(0.5 - (1 - p) * math.log10(t)) for t in (1, 64))
    return scraps_reciprocity.measure(book, form | {"densities": ds}, teach=teach)


def test_a_second_measurement_waits_until_it_is_let(book):
    calibrate_curve.curve(book, None, curve_form(), teach=False)
    dim(book)
    none = plan.plan(book).wanted_s
    first = lost(book, 0.86, True)
    with_first = plan.plan(book).wanted_s
    second = lost(book, 0.95, False)
    assert plan.plan(book).wanted_s == with_first  # looked at, and changes nothing
    assert [t.stands for t in scraps.listed(book)] == [False, True]
    scraps.stand(book, second.number)
    with_second = plan.plan(book).wanted_s
    assert none < with_first
    assert with_second < with_first
    assert len([t for t in scraps.listed(book) if t.stands]) == 1
    assert len(scraps.listed(book)) == 1  # what was replaced is in the book, and no longer in the list
    assert not scraps_reciprocity.of(book, first.number).stands
    scraps.stand(book, first.number)  # and it may be had back
    assert plan.plan(book).wanted_s == pytest.approx(with_first, rel=1e-9)
    assert len(learn.observations(book)) == 3  # one for each way this paper goes, however often it was measured


def test_a_curve_only_looked_at_leaves_the_one_that_counts(book):
    wish.say(book, {"light": "sun", "reading": "2 lx on the board", "aperture": "f/8"})
    first = calibrate_curve.curve(book, None, curve_form(light="sun"))
    counted = plan.plan(book).wanted_s
    looked = calibrate_curve.curve(book, None, curve_form(light="sun", m=0.75), teach=False)
    assert looked.name != first.name
    assert plan.plan(book).wanted_s == counted
    assert calibrate_curve.kept(book, first.curve).taught
    calibrate_curve.count_it(book, looked.curve)
    moved = plan.plan(book).wanted_s
    assert moved > counted * 1.5  # a stop slower, for the strip's light was one
    taught = [t["name"] for t in book.things("curve") if t["body"]["taught"]]
    assert taught == [looked.name]
    alone = calibrate_curve.curve(book, None, curve_form(light="sun", m=0.75))
    assert alone.name == looked.name
    assert plan.plan(book).wanted_s == moved


def test_scraps_read_as_steps_of_a_strip(book):
    """Three scraps side by side in one picture are three steps: the long one is the palest, and stands first there."""
    dim(book)
    steep = 4.6 * 0.5 * 1.8 / 2  # of the closed form where it is steepest, k·R/4
    d = [0.98 - steep * (1 - 0.86) * math.log10(t) for t in (64, 8, 1)]
    strip = calibrate.look(
        book, picture([0.08, *d], 0.08, 0.35), {"steps": "4", "sense": "negative", "taken": "scan"}
    ).strip
    form = {
        "given": "1 s at f/8, 8 s at f/22, 64 s at f/64",
        "timing": "timer",
        "slope": f"{steep:.3f}",
        "slope_sd": "0.05",
    }
    found = scraps_reciprocity.measure(book, form | {"densities": f"{strip}:4 {strip}:3 {strip}:2"})
    assert found.r == pytest.approx(1 / 0.86 - 1, abs=0.02)
    with pytest.raises(Refusal, match="has 4 steps"):
        scraps_reciprocity.measure(book, form | {"densities": f"{strip}:4 {strip}:3 {strip}:9"})


def test_on_a_positive_the_long_scrap_is_the_darker(book):
    own.add_box(book, {"name": "P", "paper": "direct_positive", "size": "12x16 in", "sheets": "5"})
    falling = [0.08 + 1.8 / (1 + math.exp(4.6 * (h - 0.45))) for h in LOG_H]
    calibrate_curve.curve(
        book, None, curve_form() | {"box": "P", "way": "direct_positive", "densities": typed(falling)}, teach=False
    )
    ds = [0.08 + 1.8 / (1 + math.exp(4.6 * (0.5 - 0.14 * math.log10(t) - 0.45))) for t in (1, 64)]
    assert ds[1] > ds[0]
    found = scraps_reciprocity.measure(
        book,
        {
            "box": "P",
            "given": "1 s at f/8, 64 s at f/64",
            "densities": typed(ds),
            "timing": "timer",
            "density_sd": "0.005",
        },
    )
    assert found.r == pytest.approx(1 / 0.86 - 1, abs=0.02)
    assert "recip:direct_positive" in plan.known_now(book).keys


@pytest.mark.parametrize(
    "text",
    ["1 s at 0.5 m, 16 s at 2 m", "1 s at f/8; 16 s at f/32", "1 s at 64 lux, 16 s at 4 lux", "1 16 s", "1 s and 16 s"],
)
def test_equal_light_in_whatever_words(text):
    """A lamp four times as high, two stops twice over, a sixteenth of the lux: sixteen times as long, by the inverse square and N²."""
    given = scraps_reciprocity.said_given(text, by_hand=False)
    assert given.times_s == (1.0, 16.0)
    assert given.log == pytest.approx((0.0, 0.0), abs=1e-9)


@pytest.mark.parametrize(
    ("looked", "shone", "said"),
    [
        ("0.06 0.42 0.96 1.40", "0.30 0.78 1.62 2.40", "one for the other"),
        ("0.06 0.42 0.96 1.40", "0.30 0.60 0.45 0.90", "order of the patches"),
    ],
)
def test_columns_taken_one_for_the_other_are_asked_about(book, looked, shone, said):
    with pytest.raises(Refusal) as refused:
        scraps_readings.measure(book, {"reflection": looked, "transmission": shone})
    assert said in " ".join(p.sentence() for p in refused.value.problems)


def test_a_rougher_answer_does_not_take_a_surer_ones_place(book):
    """By eye a veil is ±0.05; read to 0.005 it is 0.03 ±0.01: of one day the surer holds, whichever came first."""
    fine = {"fixed": "0.06", "developed": "0.09", "density_sd": "0.005"}
    sure = scraps_fog.measure(book, fine)
    rough = scraps_fog.measure(book, {"looks": "veiled"})
    assert scraps_fog.of(book, sure.number).stands
    assert (rough.stands, rough.state) == (False, "waits")
    assert any("rougher" in n and "fog 0.03 D" in n for n in rough.notes)
    assert sorted(t.state for t in scraps.listed(book)) == ["counts", "waits"]  # both are kept and shown
    scraps.stand(book, rough.number)
    assert scraps_fog.of(book, sure.number).state == "replaced"
    anew = scraps_fog.measure(book, fine)  # a surer one takes its place, and says so
    assert anew.stands
    assert any("took the place" in n for n in anew.notes)


def test_a_look_does_not_take_a_readings_place_however_close_it_is(book):
    read = scraps_fog.measure(book, {"fixed": "0.06", "developed": "0.14"})
    looked = scraps_fog.measure(book, {"looks": "same"})
    assert scraps_fog.of(book, read.number).stands
    assert looked.state == "waits"


def test_rougher_readings_wait(book):
    patches = {"reflection": "0.06 1.02 1.46 1.96", "transmission": "0.58 1.05 1.33 1.63"}
    sure = scraps_readings.measure(book, patches)
    rough = scraps_readings.measure(book, patches | {"reflection_sd": "0.1", "transmission_sd": "0.1"})
    assert scraps_readings.of(book, sure.number).stands
    assert rough.state == "waits"
    wide = scraps_readings.measure(book, patches | {"reflection_sd": "0.01", "transmission_sd": "0.01"})
    assert wide.stands
    assert scraps_readings.of(book, sure.number).state == "replaced"


def test_taken_back_it_says_nothing_of_plans_by_any_of_its_numbers(book):
    calibrate_curve.curve(book, None, curve_form(), teach=False)
    dim(book)
    first = lost(book, 0.86, True)
    assert first.day == book.now().date().isoformat()
    back = scraps.take_back(book, first.number)
    told = scraps.told(book, first.number)
    assert (told.number, told.state) == (back, "taken back")
    assert scraps_words.next_plan(first.next_plan, "counts").startswith("The next plan")
    assert scraps_words.next_plan(scraps_reciprocity.of(book, back).next_plan, told.state) == ""
    lost(book, 0.9, True)
    scraps.stand(book, back)
    lost(book, 0.86, True)
    assert scraps.told(book, first.number).state == "replaced"
    scraps.take_back(book, first.number)  # an old number of what another took the place of: told, not refused
    assert scraps.told(book, first.number).state == "replaced"


def test_a_curve_taken_back_is_not_compared_by_its_number(book):
    one = calibrate_curve.curve(book, None, curve_form(), teach=False)
    two = calibrate_curve.curve(book, None, curve_form("brew", m=0.7), teach=False)
    calibrate_curve.withdraw(book, two.curve)
    with pytest.raises(Refusal) as refused:
        scraps_developers.compare(book, {"first": str(one.curve), "second": str(two.curve)})
    assert [p.where for p in refused.value.problems] == ["second"]
    assert "taken back" in refused.value.problems[0].allowed


def test_no_difference_is_not_called_slower_or_given_two_signs(book):
    one = calibrate_curve.curve(book, None, curve_form(), teach=False)
    same = calibrate_curve.curve(book, None, curve_form("brew"), teach=False)
    found = scraps_developers.compare(book, {"first": str(one.curve), "second": str(same.curve)}, teach=False)
    told = found.sentence + " ".join(t.line for t in scraps.listed(book))
    told += " ".join(v for f in found.figures for v in scraps_words.figure_words(f).values())
    assert "as fast as bought" in found.sentence
    assert "0.0 stop slower" not in told
    assert "0.0 stop faster" not in told
    assert "−0," not in told
    assert "−0." not in found.sentence.replace("−0.1", "")
    assert "R 0." in found.sentence


def test_the_way_of_a_scrap_is_told_in_words(book):
    dim(book)
    calibrate_curve.curve(book, None, curve_form(), teach=False)
    lost(book, 0.86, True)
    words = [m.words for m in known.why_plan(book).moved]
    assert any("paper negative" in w for w in words)
    assert not any("_" in w for w in words)


def test_long_exposures_lead_with_the_exponent(book):
    calibrate_curve.curve(book, None, curve_form(), teach=False)
    assert lost(book, 0.86, True).sentence.startswith("1/p = 1.1")
    assert lost(book, 1.0, False).sentence.startswith("1/p = ")
