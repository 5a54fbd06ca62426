"""A contact print planned by lamp and negative is the print told at the bench, and what it comes like corrects the next."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import contact, contact_kept, contact_plan, expose, judge, own, plan, wish
from firstsheet.refusal import Refusal
from tests.printing.conftest import ROOM

ASKED = {"facing": "together", "glass": "no", "back_print": "no", "range": "R 100"}


def test_the_plan_and_the_bench_tell_the_same_each_factor_once(bench):
    told = contact.contact(bench, ASKED | {"height": "2 m", "glass": "yes"})
    planned = contact_plan.say(bench, ASKED | {"height": "2 m", "glass": "yes"})
    # √(2·4) s, four times for twice the height, 10^0.6 for the clearest tone, glass n 1.5: (n² + 1)/2n (Fresnel); above one
    # second by t^1.1, before anything was learned [Schwarzschild-1900].
    more = 4 * 10**0.6 * 3.25 / 3
    assert planned.wanted_s == pytest.approx(math.sqrt(8) * more**1.1, rel=1e-6)
    assert told.time_s == pytest.approx(planned.wanted_s, rel=1e-9)
    assert told.sd_stops == pytest.approx(planned.sd_stops)
    assert told.strip_s == pytest.approx(planned.strip.times_s)  # one strip, not two
    assert [x.key for x in planned.chain[:4]] == ["lamp", "height", "glass", "negative"]
    assert planned.readings[0].startswith("boat under phone, at 2 m, R 100")


def test_a_judged_print_corrects_the_next_at_the_bench_and_in_the_plan(bench):
    before = contact_plan.say(bench, ASKED)
    sheet = expose.keep(bench)
    expose.expose(bench, sheet.code, {})
    judge.judge(bench, sheet.code, {"seen": "too_dark", "border": "white"})
    now = plan.plan(bench)
    assert now.wanted_s < before.wanted_s
    assert now.sd_stops < before.sd_stops
    assert "less under phone" in now.changed[0]
    assert contact.contact(bench, ASKED).time_s == pytest.approx(now.wanted_s)
    # Another negative under this lamp follows too, and less than the same one again: what was the negative's own is not carried over.
    contact_kept.negative(bench, {"name": "jetty", "clear": "0.60", "dense": "1.60"})
    other = contact.contact(bench, ASKED | {"negative": "jetty"}).time_s
    assert now.wanted_s < other < before.wanted_s


@pytest.mark.parametrize("height", ["1.5 m", "3 m", "0.75 m", "0.4 m", "0.2 m"])
def test_long_exposures_count_from_the_strip_s_own_time(bench, height):
    """By hand: the strip's T = √(20·25) s blackened bare paper, so a print D stops from it wants log2 t = log2 T + (1 + r)·D above one second: what
    long exposures lose at T is in T. Below, log2 t = log2 T/(1 + r) + D. r alone moves it by that formula's own difference quotient."""
    contact_kept.lamp(bench, {"name": "dim", "height": "1.5 m", "times": "15 20 25 30 40 s", "black": "3", "power": "mains"})
    contact_kept.negative(bench, {"name": "thin", "clear": "0.05", "dense": "1.05"})
    p = contact_plan.say(bench, ASKED | {"lamp": "dim", "negative": "thin", "height": height})
    strip = 0.5 * math.log2(20 * 25)
    away = 2 * math.log2(float(height.split()[0]) / 1.5) + 0.05 / math.log10(2) if height.endswith("m") else 0.0

    def log2_s(r):
        metered = strip / (1 + r) + away
        return metered * (1 + r) if metered > 0 else metered

    assert math.log2(p.wanted_s) == pytest.approx(log2_s(0.10), abs=1e-6)  # t^1.1 before anything was learned
    long = next(x for x in p.chain if x.key == "reciprocity")
    assert long.sd == pytest.approx(0.08 * abs(log2_s(0.1005) - log2_s(0.0995)) / 0.001, abs=1e-3)


def test_prints_at_the_strip_s_own_time_that_come_too_dark_move_the_lamp_not_the_law(bench):
    """At the strip's own time r tells nothing: three prints half the light too dark move the seconds as the lamp's doubt lets them, and the law stays."""
    contact_kept.lamp(bench, {"name": "dim", "height": "1.5 m", "times": "15 20 25 30 40 s", "black": "3", "power": "mains"})
    contact_kept.negative(bench, {"name": "thin", "clear": "0.05", "dense": "1.05"})
    first = contact_plan.say(bench, ASKED | {"lamp": "dim", "negative": "thin", "height": "1.5 m"})
    for _ in range(3):
        sheet = expose.keep(bench)
        expose.expose(bench, sheet.code, {})
        judge.judge(bench, sheet.code, {"seen": "too_dark", "border": "white"})
    now = plan.plan(bench)
    assert now.chain[0].key == "lamp"
    assert now.chain[0].value == pytest.approx(first.chain[0].value, rel=0.02)
    assert math.log2(now.wanted_s / first.wanted_s) < -0.25


def test_a_new_strip_starts_the_lamp_afresh(bench):
    contact_plan.say(bench, ASKED)
    sheet = expose.keep(bench)
    expose.expose(bench, sheet.code, {})
    judge.judge(bench, sheet.code, {"seen": "much_too_dark", "border": "white"})
    learned = contact.contact(bench, ASKED).sd_stops
    contact_kept.lamp(bench, {"name": "phone", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"})
    assert contact.contact(bench, ASKED).sd_stops > learned
    assert plan.plan(bench).changed == ()


def test_another_box_counts_both_speeds_and_doubts_more(book):
    own.add_camera(book, {"name": "boathouse", **ROOM})
    own.add_box(book, {"name": "F", "paper": "enlarging", "size": "12x16 in", "sheets": "50", "iso_p": "500"})
    own.add_box(book, {"name": "S", "paper": "enlarging", "size": "12x16 in", "sheets": "50", "iso_p": "250"})
    contact_kept.lamp(book, {"name": "phone", "height": "1 m", "times": "0.1 0.2 0.4 0.8 s", "black": "2", "box": "F"})
    contact_kept.negative(book, {"name": "boat", "clear": "0.30", "dense": "1.30"})
    fast, slow = (contact_plan.say(book, ASKED | {"box": b}) for b in "FS")
    # ISO P is 1000 over the exposure: half the P, twice the exposure [ISO-6846]; below one second nothing is lost.
    assert slow.wanted_s == pytest.approx(2 * fast.wanted_s)
    assert slow.sd_stops > fast.sd_stops + 0.2
    notes = contact.contact(book, ASKED | {"box": "S"}).notes
    assert any("both" in n for n in notes)


def test_lux_on_the_board_takes_the_plan_back(bench):
    contact_plan.say(bench, ASKED)
    wish.say(bench, {"reading": "4 lx on the board", "light": "tungsten", "negative": "0.60"})
    assert plan.plan(bench).readings
    assert plan.plan(bench).chain[0].key == "board"


def test_what_is_missing_is_refused_and_the_plan_stays_as_it_was(bench):
    with pytest.raises(Refusal) as refusal:
        contact_plan.say(bench, {"range": "R 100"})
    assert {"facing", "glass", "back_print"} <= {p.where for p in refusal.value.problems}
    assert not (bench.get_setting("phrase") or {}).get("lit")


def test_why_tells_of_a_print_what_taking_its_judgement_back_gives(bench):
    from firstsheet.acts import known

    first = contact_plan.say(bench, ASKED | {"height": "2 m"})
    sheet = expose.keep(bench)
    expose.expose(bench, sheet.code, {})
    judge.judge(bench, sheet.code, {"seen": "too_dark"})
    (moved,) = known.why_plan(bench).moved
    assert moved.without_s == pytest.approx(first.wanted_s, rel=0.03)
    judge.take_back(bench, sheet.code)
    assert plan.plan(bench).wanted_s == pytest.approx(first.wanted_s)


def test_a_print_below_a_second_is_measured_by_the_law_it_was_planned_by(bench):
    """By hand: below one second log2 t = log2 T/(1 + r) + D + x. What is judged right at the very seconds planned says x 0 whatever r has become, so the
    evidence equals what its own effects tell at what was believed."""
    from firstsheet.belief.effects import Effect

    contact_kept.lamp(bench, {"name": "dim", "height": "1.5 m", "times": "15 20 25 30 40 s", "black": "3", "power": "mains"})
    contact_kept.negative(bench, {"name": "thin", "clear": "0.05", "dense": "1.05"})
    asked = ASKED | {"lamp": "dim", "negative": "thin"}
    for _ in range(3):  # far away: too pale, so that r grows
        contact_plan.say(bench, asked | {"height": "6 m"})
        sheet = expose.keep(bench)
        expose.expose(bench, sheet.code, {})
        judge.judge(bench, sheet.code, {"seen": "too_pale"})
    p = contact_plan.say(bench, asked | {"height": "0.3 m"})
    assert p.wanted_s < 1.0
    assert p.loss > 0.15
    sheet = expose.keep(bench)
    expose.expose(bench, sheet.code, {"given": f"{p.wanted_s:.6f} s"})
    judge.judge(bench, sheet.code, {"seen": "as_wanted"})
    from firstsheet.acts.sheet import sheet as state

    told = state(bench, sheet.code).judgement["evidence"]
    effects = [Effect.from_json(e) for e in told["effects"]]
    law = next(e for e in effects if e.key.startswith("recip:"))
    # believed before it: everything else as the posterior had it, by the chain's own sum
    others = math.log2(p.wanted_s) - p.nominal_log2_s
    assert told["stops"] == pytest.approx(others + law.coefficient * p.loss, abs=1e-3)


def test_a_print_judged_before_its_plan_kept_its_strip_says_nothing_of_the_law(bench):
    from firstsheet.acts import learn
    from firstsheet.acts.sheet import sheet as state

    contact_plan.say(bench, ASKED | {"height": "2 m"})
    sheet = expose.keep(bench)
    expose.expose(bench, sheet.code, {})
    judge.judge(bench, sheet.code, {"seen": "too_dark"})
    body = state(bench, sheet.code).judgement["evidence"]
    now = learn.observation("1", body)
    assert any(e.key.startswith("recip:") for e in now.effects)
    before = learn.observation("1", {k: v for k, v in body.items() if k != "strip"})
    assert not any(e.key.startswith("recip:") for e in before.effects)
    law = next(e for e in now.effects if e.key.startswith("recip:"))
    assert before.stops == pytest.approx(now.stops - law.coefficient * law.mean)
