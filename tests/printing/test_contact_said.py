"""What a print is told in words, refused or answered: units, halves, papers that cannot be printed so, corners, counts. By hand where a number stands."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import contact, contact_kept, contact_plan, expose, judge, own, plan
from firstsheet.acts.door import times_s, whole
from firstsheet.printing.lamp import Lamp, by_law, corner_stops
from firstsheet.refusal import Refusal

ASKED = {"facing": "together", "glass": "no", "back_print": "no", "range": "R 110"}


@pytest.mark.parametrize(("said", "seconds"), [
    ("1 2 4 8 s", [1, 2, 4, 8]), ("1 s 2 s 4 s 8 s", [1, 2, 4, 8]), ("8.9 s · 11 s · 14 s", [8.9, 11, 14]), ("30 s 1 min 2 min", [30, 60, 120]),
    ("½, 1, 2", [0.5, 1, 2]), ("1/2;1;2 s", [0.5, 1, 2]), ("1 2 4 min", [60, 120, 240]), ("0:30 1:00 2:00", [30, 60, 120]), (".5 1 2", [0.5, 1, 2]),
])  # fmt: skip
def test_times_in_a_row(said, seconds):
    assert times_s(said) == pytest.approx(seconds)


@pytest.mark.parametrize("said", ["2,5 6 12 s", "1,2,4,8", "1 s 2 4 8", "one two", "1 2 m", "1 2 4 8 x", "1 2 - 4", ""])
def test_times_that_can_be_read_two_ways_are_refused(said):
    with pytest.raises(Refusal):
        times_s(said)


def test_what_is_counted_is_whole():
    assert whole("3", 1, 40) == 3
    with pytest.raises(Refusal, match="whole"):
        whole("2.9", 1, 40)


def test_the_fifth_step_of_a_print_s_strip_can_be_the_one(bench):
    p = contact_plan.say(bench, ASKED)
    code = expose.keep(bench, strip=True).code
    expose.expose(bench, code)
    with pytest.raises(Refusal):
        judge.judge(bench, code, {"step": "5.6"})
    judge.judge(bench, code, {"step": "5"})
    assert plan.plan(bench).wanted_s > p.wanted_s  # the longest step: more light is wanted


def test_half_a_grade_lies_half_way(bench):
    """Grades 2 and 3 of the 1966 limits (from memory): 0.95 to 1.15 and 0.80 to 0.95, middles 1.05 and 0.875; half-way 0.9625."""
    bare = {k: v for k, v in ASKED.items() if k != "range"}
    told = contact.contact(bench, bare | {"grade": "2.5"})
    assert told.over_d == pytest.approx(1.00 - 0.9625)
    with pytest.raises(Refusal, match="half"):
        contact.contact(bench, bare | {"grade": "2.3"})


@pytest.mark.parametrize(("said", "where"), [
    ({"bare": "EV 11", "clear": "512 lx", "dense": "2.0 D"}, "clear"), ({"bare": "1600 lx", "clear": "EV 9", "dense": "EV 6"}, "clear"),
    ({"bare": "120", "clear": "40 lux", "dense": "3 lx"}, "bare"), ({"bare": "120 lx", "clear": "40 lux", "dense": "3"}, "dense"),
])  # fmt: skip
def test_readings_that_do_not_compare_are_refused(bench, said, where):
    with pytest.raises(Refusal) as refusal:
        contact_kept.negative(bench, {"name": "x", **said})
    assert where in {p.where for p in refusal.value.problems}


def test_a_density_may_stand_beside_a_reading_by_its_unit(bench):
    n = contact_kept.negative(bench, {"name": "x", "bare": "1600 lx", "clear": "400 lx", "dense": "1.60 D"})
    assert (n.clear_d, n.dense_d) == pytest.approx((math.log10(4), 1.60))


def test_paper_that_cannot_be_printed_so_is_refused_at_the_bench(bench):
    own.add_box(bench, {"name": "P", "paper": "direct_positive", "size": "8x10 in", "sheets": "25"})
    with pytest.raises(Refusal, match="direct positive"):
        contact.contact(bench, ASKED | {"box": "P"})
    with pytest.raises(Refusal, match="direct positive"):
        contact_kept.lamp(bench, {"name": "other", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3", "box": "P"})


def test_the_plan_says_what_no_seconds_mend(bench):
    contact_kept.negative(bench, {"name": "long", "clear": "0.30", "dense": "2.30"})
    asked = ASKED | {"negative": "long", "height": "30 cm"}
    told, planned = contact.contact(bench, asked), contact_plan.say(bench, asked)
    assert any("0.90 D longer than this paper" in n for n in planned.notes)
    corners = next(n for n in planned.notes if n.startswith("The corners get"))
    assert corners in told.notes  # one sentence, at the bench and in the plan
    assert "From " in corners


def test_a_wide_flat_lamp_lights_the_corner_as_its_parts_do():
    """Independent of the closed form: the disc cut into small pieces, each cos⁴/h²; and far off the disc becomes cos⁴."""

    def lit(off, height, radius, n=240):
        total = 0.0
        for i in range(n):
            r = (i + 0.5) / n * radius
            for k in range(n):
                t = 2 * math.pi * k / n
                d2 = (r * math.cos(t) - off) ** 2 + (r * math.sin(t)) ** 2
                total += r * (height**2 / (height**2 + d2)) ** 2
        return total

    for radius, height, off in ((300.0, 500.0, 325.0), (150.0, 305.0, 325.0), (300.0, 150.0, 500.0)):
        lamp = Lamp("flat", 8.0, 0.2, 500.0, across_mm=2 * radius)
        assert by_law(lamp, height, off) == pytest.approx(math.log2(lit(0.0, height, radius) / lit(off, height, radius)), abs=2e-3)
    small = Lamp("flat", 8.0, 0.2, 500.0, across_mm=1.0)
    assert by_law(small, 500.0, 250.0) == pytest.approx(2 * math.log2(1.25), abs=1e-4)


def test_a_measured_corner_counts_for_every_lamp():
    point = Lamp("point", 8.0, 0.2, 300.0, corner_stops=0.3, corner_mm=250.0)
    assert corner_stops(point, 300.0, 250.0) == pytest.approx(0.3)
    # elsewhere in the law's own proportion: 1.5 log2(1 + tan²), by hand
    share = 0.3 / (1.5 * math.log2(1 + (250 / 300) ** 2))
    assert corner_stops(point, 600.0, 250.0) == pytest.approx(share * 1.5 * math.log2(1 + (250 / 600) ** 2))


def test_a_count_says_what_is_known_beforehand_and_what_cannot_be_counted(bench):
    contact_kept.lamp(bench, {"name": "bright", "height": "1 m", "times": "1/16 1/8 1/4 1/2 s", "black": "2"})
    contact_kept.negative(bench, {"name": "thin", "clear": "0.10", "dense": "1.10"})
    short = contact.contact(bench, ASKED | {"lamp": "bright", "negative": "thin"})
    assert short.counted.startswith("Too short to count")
    assert short.better_height_mm > 0
    contact_kept.negative(bench, {"name": "dense", "clear": "2.60", "dense": "3.60"})
    assert "clock" in contact.contact(bench, ASKED | {"negative": "dense", "lamp": "phone"}).counted
    contact_kept.negative(bench, {"name": "one", "clear": "0.35", "dense": "1.35"})
    odd = contact.contact(bench, ASKED | {"negative": "one", "lamp": "bright", "height": "2.6 m"})
    # by hand: whole counts of a usual second against the time asked for
    off = math.log2(max(1, round(odd.time_s)) / odd.time_s)
    assert ("than asked" in odd.counted) == (abs(off) >= 0.1)
