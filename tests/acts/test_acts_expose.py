"""What a sheet was given, and a strip judged wet. Facts of the trade: common practice, no source."""

from __future__ import annotations

import pytest

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
