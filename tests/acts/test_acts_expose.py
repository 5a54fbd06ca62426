"""What a sheet was given, and a strip judged wet. Facts of the trade: common practice, no source."""

from __future__ import annotations

import pytest

from firstsheet.acts import own
from firstsheet.paper.response import dry_down, seen
from firstsheet.refusal import Refusal
from tests.acts.evening import Evening


@pytest.mark.parametrize("given", ["0 s", "0", "1/10000", "3 days"])
def test_a_sheet_that_got_no_light_was_not_exposed(given: str) -> None:
    e = Evening()
    e.camera(), e.box(), e.developer(), e.meter()
    e.say(light="overcast", subject="3 m", reading="EV 11")
    code = e.keep()
    with pytest.raises(Refusal) as refused:
        e.expose(code, given=given)
    assert [p.where for p in refused.value.problems] == ["given"]


def test_a_wet_print_is_judged_as_it_will_be_dry() -> None:
    """A tenth darker when dry, log2 1.1 = 0.14 stop; colour reversal looks darker wet, so nothing is added."""
    assert dry_down("contact_print", wet=True)[0] == pytest.approx(0.14, abs=0.02)
    assert seen("contact_print", "as_wanted", wet=True).need_stops < 0  # less light, or it dries too dark
    assert seen("direct_positive", "as_wanted", wet=True).need_stops > 0  # more light, or it dries too dark
    assert dry_down("reversal_ra4", wet=True)[0] == 0.0
    assert seen("reversal_ra4", "as_wanted", wet=True).sd_stops > seen("reversal_ra4", "as_wanted", wet=False).sd_stops


def test_an_unknown_sky_is_refused_under_its_own_field() -> None:
    e = Evening()
    e.camera(), e.box(), e.developer(), e.meter()
    with pytest.raises(Refusal) as refused:
        e.say(light="overcast", subject="3 m", reading="purple haze machine")
    assert [p.where.split(".")[0] for p in refused.value.problems] == ["reading"]
    assert ".reading" not in refused.value.problems[0].where


def test_what_the_room_cannot_do_is_told_under_the_sitters_distance() -> None:
    e = Evening()
    e.camera(), e.box(), e.developer(), e.meter()
    with pytest.raises(Refusal) as refused:
        e.plan(light="overcast", subject="900 mm", reading="EV 11")
    assert [p.where for p in refused.value.problems] == ["subject"]


def test_a_shutters_sheet_is_not_doubted_as_a_hands() -> None:
    """The same sheet, 1/8 s: by a mechanical shutter it teaches (± 0.05 stop in time); by a hand it hardly does."""
    left = []
    for more in ({"shutter": "shutter", "speeds": "1 1/2 1/4 1/8 1/15 1/30"}, {"shutter": "cap"}):
        e = Evening()
        own.add_camera(e.book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/16", "board_min": "610 mm", "board_max": "1200 mm",
                                "length": "2.4 m", "width": "2 m", "height": "2.2 m", **more})  # fmt: skip
        e.box(), e.developer(), e.meter()
        e.say(light="sun", subject="3 m", reading="EV 16", aperture="f/16")
        code = e.keep()
        e.expose(code, given="1/8")
        left.append(e.judge(code, border="white", seen="too_pale").after_sd)
    assert left[0] < left[1]


def test_each_meter_answers_for_the_weight_of_its_readings() -> None:
    """Weights 1/sd²: ±0.15 beside a sky of ±0.7 stop counts 1/(1 + (0.15/0.7)²) = 0.956 of the mean, in either order."""
    e = Evening()
    e.camera(), e.box(), e.developer(), e.meter()
    for said in ("clear sun; EV 14", "EV 14; clear sun"):
        p = e.plan(light="sun", subject="3 m", reading=said)
        weights = {x.key: x.coefficient for x in p.shared if x.key.startswith("meter:")}
        assert weights == {"meter:my meter": pytest.approx(0.956, abs=0.001), "meter:sky": pytest.approx(0.044, abs=0.001)}


def test_the_note_on_a_light_face_says_which_way_this_paper_goes() -> None:
    """A face read as mid-tone is given a stop too little: a negative pale, a direct positive dark."""
    for paper, word in (("enlarging", "pale"), ("direct_positive", "dark")):
        e = Evening()
        e.camera(), e.box(paper=paper), e.developer(), e.meter()
        p = e.plan(light="sun", subject="3 m", reading="EV 11", how="reflected")
        assert any(f"a stop {word}" in note for note in p.notes)
