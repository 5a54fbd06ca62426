"""A way of one's own: what is let through, what is refused, and that light follows from paper and step."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.refusal import Refusal
from firstsheet.tables import load
from firstsheet.trays import ownway
from firstsheet.trays.ownway import OwnStep
from firstsheet.trays.process import process_for, ways
from firstsheet.trays.sheettrack import dark_run, tray_clip

WAYS = sorted(ways())
FITS = {"reversal_ra4": ("ra4", "colour")}


def run_of(way, steps, base="rc"):
    return process_for(way, *FITS.get(way, ("paper", "blue")), base, rows=ownway.rows(way, steps))


def steps_of(*liquids):
    out = ()
    for liquid in liquids:
        out = ownway.added("paper_negative", out, OwnStep("", liquid), out[-1].key if out else "")
    return out


def refused(way, *liquids):
    with pytest.raises(Refusal) as found:
        ownway.check(way, steps_of(*liquids))
    return " ".join(p.asked + " " + p.allowed + " " + p.hint for p in found.value.problems)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("base", ["rc", "fibre"])
def test_a_copy_runs_as_what_it_was_copied_from(way, base):
    plain = process_for(way, *FITS.get(way, ("paper", "blue")), base)
    assert run_of(way, ownway.shipped(way), base) == plain


@pytest.mark.parametrize("way", WAYS)
def test_every_tray_has_its_word_in_the_sound(way):
    clips = load("voice")["clips"]
    for row in ownway.liquids(way).values():
        assert clips[tray_clip(row["tray"])] == row["tray"].replace("-", " ")


def test_times_and_windows_of_ones_own():
    steps = list(ownway.shipped("paper_negative"))
    steps[0] = OwnStep("developer", "developer", 150.0, 120.0, 200.0, drain_s=15.0)
    steps[1] = OwnStep("stop", "stop", 60.0)  # window 15 to 90 s at 30 s: 30 to 180 s at 60 s
    run = run_of("paper_negative", steps)
    assert (run.steps[0].seconds, run.steps[0].low_s, run.steps[0].high_s, run.steps[0].drain_s) == (150, 120, 200, 15)
    assert (run.steps[1].low_s, run.steps[1].high_s) == (30, 180)
    assert run.steps[0].source == "your own time"
    assert run.steps[2] == process_for("paper_negative").steps[2]


def test_two_fixers_and_a_washing_aid():
    run = run_of("paper_negative", steps_of("soak", "developer", "stop", "fix", "second_fix", "rinse", "washing_aid", "wash"), "fibre")  # fmt: skip
    # common practice, no source: red until the first fixer is done, white from then on
    assert [s.light for s in run.steps] == ["red"] * 4 + ["white"] * 4
    assert dark_run(run, 60.0)


def test_two_developers_share_no_key():
    assert [s.key for s in steps_of("developer", "rinse", "developer", "rinse")] == ["developer", "rinse", "developer_2", "rinse_2"]  # fmt: skip


@pytest.mark.parametrize(
    ("liquids", "words"),
    [
        (("stop", "fix", "wash"), "begins with “developer”"),
        (("developer", "stop", "wash"), "no fixer"),
        (("developer", "fix", "wash"), "A stop or a rinse between"),
        (("developer", "stop", "fix"), "ends in the wash"),
        (("developer", "stop", "fix", "developer", "wash"), "before the fixer"),
        (("developer", "stop", "second_fix", "fix", "wash"), "after the first"),
        (("developer", "stop", "washing_aid", "fix", "wash"), "after the last fixer"),
        (("developer", "stop", "wash", "fix", "wash"), "Before it use “rinse”"),
        (("developer", "soak", "stop", "fix", "wash"), "only before"),
        (("developer", "stop"), "From 3 to 16"),
        (("developer", "stop", "white_light", "fix", "wash"), "One of"),
    ],
)
def test_black_and_white_orders_that_cannot_be_run(liquids, words):
    assert words in refused("paper_negative", *liquids)


REVERSAL = ("first_developer", "stop", "rinse", "white_light", "colour_developer", "second_stop", "bleach_fix", "wash")


@pytest.mark.parametrize("left_out", ["stop", "rinse"])
def test_colour_paper_into_light_before_stop_and_rinse(left_out):
    # SS0514 section 4: light is wanted once the first developer is stopped and rinsed out
    assert "only after first developer, stop and rinse" in refused("reversal_ra4", *(x for x in REVERSAL if x != left_out))  # fmt: skip


@pytest.mark.parametrize(
    ("liquids", "words"),
    [
        (("first_developer", "rinse", "stop", "white_light", *REVERSAL[4:]), "only after first developer, stop and rinse"),
        (("first_developer", "rinse", "stop", "rinse", "white_light", *REVERSAL[4:]), "stop comes before any rinse"),
        (("white_light", *REVERSAL[:3], *REVERSAL[4:]), "begins with “first_developer”"),
        ((*REVERSAL[:4], "colour_developer", "bleach_fix", "wash"), "A stop or a rinse between"),
        ((*REVERSAL[:6], "wash"), "takes out the silver"),
        ((*REVERSAL[:3], "colour_developer", "white_light", *REVERSAL[5:]), "light before the colour developer"),
        ((*REVERSAL[:4], "bleach_fix", "colour_developer", "second_stop", "wash"), "destroys a developer"),
    ],
)  # fmt: skip
def test_colour_orders_that_cannot_be_run(liquids, words):
    assert words in refused("reversal_ra4", *liquids)


def test_wrong_numbers_are_all_told_at_once():
    steps = [
        OwnStep("developer", "developer", 1.0, hands="four"),
        OwnStep("stop", "stop", 30.0, 60.0, 90.0, drain_s=500.0),
        OwnStep("fix", "fix", None, 1.0, 2.0),
        OwnStep("wash", "wash", float("nan")),
    ]
    with pytest.raises(Refusal) as found:
        ownway.check("paper_negative", steps)
    assert [p.where for p in found.value.problems] == ["time", "hands", "window", "drain", "window", "time"]


def test_both_sides_to_the_light_take_both_hands():
    steps = [OwnStep(s.key, s.liquid, hands="some" if s.key == "white_light" else None) for s in ownway.shipped("reversal_ra4")]  # fmt: skip
    with pytest.raises(Refusal, match="turned to the light"):
        ownway.check("reversal_ra4", steps)


@given(st.sampled_from(["paper_negative", "reversal_ra4"]), st.lists(st.sampled_from([*REVERSAL, "developer", "fix", "second_fix", "soak", "washing_aid"]), max_size=10))  # fmt: skip
def test_whatever_is_let_through_runs_and_is_safe(way, liquids):
    steps = ()
    for liquid in liquids:
        steps = ownway.added(way, steps, OwnStep("", liquid), steps[-1].key if steps else "")
    try:
        run = run_of(way, steps)
    except Refusal:
        return
    names = [s.liquid for s in steps]
    first_white = next(i for i, s in enumerate(run.steps) if s.light == "white")
    if way == "reversal_ra4":
        assert "stop" in names[:first_white] or "second_stop" in names[:first_white]
        assert "rinse" in names[:first_white]
    else:
        assert "fix" in names[:first_white]
    assert names[-1] == "wash"


def test_a_step_is_moved():
    steps = steps_of("developer", "stop", "fix", "rinse", "wash")
    assert [s.key for s in ownway.moved(steps, "rinse", "developer")] == ["developer", "rinse", "stop", "fix", "wash"]
    for key, after in (("rinse", "rinse"), ("tea", "developer"), ("rinse", "tea")):
        with pytest.raises(Refusal):
            ownway.moved(steps, key, after)
