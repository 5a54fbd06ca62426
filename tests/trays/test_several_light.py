"""No light that an uncovered sheet does not bear, whatever the sheets bear: tolerances, boxes, sitters and lateness drawn at random.

What is checked is reckoned here second by second from the deeds and the lights, with nothing of the planner and nothing of the other checker.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from firstsheet.trays.process import process_for
from firstsheet.trays.several import Mark, plan
from firstsheet.trays.several_chain import Wanted

BRIGHT = {"none": 0, "red": 1, "white": 2, "lens": 3}
BASES = {
    "negative": process_for("paper_negative"),
    "fibre": process_for("paper_negative", base="fibre"),
    "coffee": process_for("direct_positive", "coffee"),
    "reversal": process_for("reversal_ra4", "ra4", "colour"),
}


@st.composite
def sheets(draw):
    """One to four sheets; for each how many trays bear no light at all, then how many only red, at least one tray before white."""
    out = []
    box_s = draw(st.sampled_from([None, 15]))
    for n in range(draw(st.integers(1, 4))):
        process = BASES[draw(st.sampled_from(sorted(BASES)))]
        count = len(process.steps)
        if not any(s.wants for s in process.steps):  # where a step asks for light, its tolerances are its own
            dark = draw(st.integers(0, count - 1))
            red = draw(st.integers(0 if dark else 1, count - 1 - dark)) if count - 1 - dark else 0
            levels = ["none"] * dark + ["red"] * red + ["white"] * (count - dark - red)
            steps = tuple(replace(s, light=x) for s, x in zip(process.steps, levels, strict=True))
            process = replace(process, steps=steps)
        out.append(
            Wanted(
                str(n + 1),
                process,
                ready_s=draw(st.sampled_from([0, 0, 240, 1000])),
                compose_s=draw(st.sampled_from([0, 60, 180])),
                mount_s=draw(st.integers(5, 60)),
                expose_s=draw(st.integers(1, 120)),
                hold_s=draw(st.integers(10, 120)),
                box_s=box_s,
            )
        )
    return out


def borne(sheet, deeds, at):
    """The brightest light this sheet bears at a moment; 3 where it is covered, past white, or where the light is meant for itself."""
    own = [d for d in deeds if d.sheet == sheet.name]
    here = [d for d in own if d.at_s <= at < d.until_s]
    if any(d.kind in ("compose", "expose") for d in here):
        return 3
    opened = next(d.at_s for d in own if d.kind == "mount")
    if at < opened:
        return 3
    shut, out = (next((d for d in own if d.kind == k), None) for k in ("box", "unbox"))
    if shut and out and shut.until_s <= at < out.at_s:
        return 3
    level = BRIGHT[sheet.process.steps[0].light]
    for step in sheet.process.steps:
        into = next(d.at_s for d in own if d.step == step.key and d.kind in ("enter", "rock"))
        if at < into:
            return level
        lifted = next(d for d in own if d.step == step.key and d.kind == "lift")
        if step.wants and into <= at < lifted.until_s:
            return 3
        level = BRIGHT[step.light] if BRIGHT[step.light] < 2 else 3
        if level == 3:
            return 3
        if at < lifted.until_s:
            return level
    return 3


def broken(wanted, got):
    """Moments at which a light is on that a sheet does not bear; looked at wherever anything changes."""
    moments = sorted({x for d in got.deeds for x in (d.at_s, d.until_s)} | {x.from_s for x in got.lights})
    found = []
    for at in moments:
        lit = [x.light for x in got.lights if x.from_s <= at < x.to_s]
        found += [(at, lit, s.name) for s in wanted for x in lit if BRIGHT[x] > borne(s, got.deeds, at)]
    return found


PLACES = st.fixed_dictionaries({"wash": st.integers(1, 6), "fixer": st.integers(1, 2)})


@settings(max_examples=60, deadline=None)
@given(sheets(), PLACES)
def test_no_light_is_on_that_an_uncovered_sheet_does_not_bear(wanted, places):
    got = plan(wanted, places)
    assert broken(wanted, got) == []
    assert got.lights[0].from_s == 0


@settings(max_examples=40, deadline=None)
@given(sheets(), PLACES, st.floats(0.05, 0.95), st.integers(0, 900))
def test_nor_when_the_rest_is_planned_late(wanted, places, share, late_s):
    first = plan(wanted, places)
    now = round(share * first.end_s)
    begun = {}
    for d in first.deeds:
        begun.setdefault((d.sheet, d.key), d.at_s)
    marks = [Mark(s, k, at) for (s, k), at in begun.items() if at <= now]
    got = plan(wanted, places, marks, now + late_s)
    assert [x for x in broken(wanted, got) if x[0] >= now + late_s] == []


def test_the_look_finds_a_light_that_is_wrong():
    wanted = [Wanted("1", BASES["negative"]), Wanted("2", BASES["negative"])]
    got = plan(wanted, {"wash": 6})
    bright = replace(got, lights=tuple(replace(x, light="white") if x.light == "red" else x for x in got.lights))
    assert broken(wanted, got) == []
    assert broken(wanted, bright)
