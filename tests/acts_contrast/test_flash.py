"""The threshold, the seconds, the plan and the sheet: a flash from a scrap to the tray, and what is refused on the way."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import expose, flash, own, plan, sheet_track, wish
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal
from tests.acts_contrast.conftest import drawn

SAID = {"reading": "EV 11", "light": "sun", "subject": "3 m", "aperture": "f/16", "box": "D", "developer": "bought", "way": "paper_negative"}
COUNTED = {"times": "1 2 4 8 s", "shows": "3", "under": "lamp at 2 m", "box": "D", "developer": "bought"}


def test_no_flash_on_a_box_whose_threshold_was_never_measured(book):
    """Neither its seconds nor a plan with it; and the refusal says which scrap to make."""
    wish.say(book, SAID)
    for refused in (lambda: flash.dose(book, {"lux": "0.2"}), lambda: plan.plan(book, {"flash": "yes"})):
        with pytest.raises(Refusal) as found:
            refused()
        problem = found.value.problems[0]
        assert problem.where == "flash"
        assert "scrap" in problem.hint
    assert plan.plan(book, {"flash": "no"}).flash_share == 0.0
    assert "white border" in flash.standing(book).scrap
    assert "black border" in flash.standing(book, {"box": "P"}).scrap  # on a positive the flash shows as less than black


def test_another_box_or_developer_lends_no_threshold(book):
    flash.found(book, COUNTED)
    with pytest.raises(Refusal):
        flash.dose(book, {"box": "G"})
    assert flash.known(book, "D", "bought", "direct_positive") == ()


def test_the_count_of_a_scrap(book):
    """Between 2 and 4 s, so 2.83 s; seven tenths are 1.98 s (by hand)."""
    wish.say(book, SAID)
    assert flash.found(book, COUNTED).thresholds[0].seconds == pytest.approx(2.83, abs=0.005)
    d = flash.dose(book)
    assert d.time_s == pytest.approx(1.98, abs=0.005)
    assert d.low_s < d.time_s < d.high_s
    assert d.lx is None
    with pytest.raises(Refusal):
        flash.dose(book, {"lux": "0.2"})  # a count knows no lux
    with pytest.raises(Refusal):
        flash.dose(book, {"under": "another lamp"})


def test_lux_seconds_of_a_curve(book):
    """Threshold 0.568 lx·s by its closed form (authorities/sensitometry): 0.7 of it under 0.1 lx are 3.98 s; the fit's toe is good to 0.3 stop."""
    drawn(book)
    wish.say(book, SAID)
    d = flash.dose(book, {"lux": "0.1 lx"})
    assert d.time_s == pytest.approx(3.98, rel=0.10)
    assert d.low_s < 3.98 < d.high_s
    over = flash.dose(book, {"ev": "8", "aperture": "f/16"})
    # 12.5·2^8/100 = 32 cd/m²; 0.65·32/256 = 0.081 lx (ISO 2720, 2721)
    assert over.lx == pytest.approx(0.0813, abs=0.0002)
    near = flash.dose(book, {"ev": "8", "aperture": "f/16", "board": "1200 mm"})  # twice the focal length: life size, two stops
    assert near.time_s == pytest.approx(4 * over.time_s)
    assert over.ev == pytest.approx(8 + math.log2(over.time_s / 4.0))  # four seconds want so many EV more or less
    assert any("scrap" in n for n in over.notes)
    assert "never look at the sun" in over.cautions[0]


def test_all_that_is_wrong_with_a_dose_is_told_at_once(book):
    flash.found(book, COUNTED)
    with pytest.raises(Refusal) as found:
        flash.dose(book, {"lux": "dim", "ev": "8", "under": "lamp at 2 m", "share": "5", "box": "nowhere"})
    assert {p.where for p in found.value.problems} >= {"lux", "share", "box", "aperture"}


@pytest.mark.parametrize(
    "form", [{"times": "4 2 1 s", "shows": "2"}, {"times": "1 2 4", "shows": "1"}, {"times": "1 2 4", "shows": "9"}, {"times": "soon", "shows": "x"}]
)
def test_a_scrap_that_tells_nothing_is_refused(book, form):
    with pytest.raises(Refusal):
        flash.found(book, {"under": "lamp", "box": "D", **form})
    assert not flash.standing(book, {"box": "D"}).thresholds


def test_the_plan_takes_the_flash_off_the_picture(book):
    """On this curve the threshold is 0.284 of the mid-tone's exposure, so 0.7 of it spares log2(1 − 0.199) = 0.32 stop (closed form)."""
    drawn(book)
    wish.say(book, SAID)
    without, with_it = plan.plan(book), plan.plan(book, {"flash": "70 %"})
    assert with_it.flash_share == pytest.approx(0.7)
    link = next(k for k in with_it.chain if k.key == "flash")
    assert link.stops == pytest.approx(-0.32, abs=0.05)
    assert math.log2(with_it.wanted_s / without.wanted_s) == pytest.approx(1.10 * link.stops, abs=0.01)  # both beyond 1 s, where 1/p = 1.10 counts
    assert any("firstsheet flash" in n for n in with_it.notes)


def test_a_sheet_is_flashed_once_and_before_the_trays(book):
    flash.found(book, COUNTED)
    wish.say(book, {**SAID, "flash": "yes"})
    code = expose.keep(book).code
    assert sheet(book, code).plan["flash_share"] == pytest.approx(0.7)
    now = flash.given(book, code, {"seconds": "2 s", "how": "under the lamp"})
    assert (now.state, now.flashed) == ("flashed", {"share": 0.7, "seconds": 2.0, "how": "under the lamp"})
    with pytest.raises(Refusal, match="flashed"):
        flash.given(book, code)
    assert expose.expose(book, code).state == "exposed"
    other = expose.keep(book).code
    expose.expose(book, other)
    assert flash.given(book, other).state == "exposed"  # after the picture serves as well


def test_a_direct_positive_is_told_that_it_stays_mirrored_and_that_old_paper_wants_longer(book):
    """It has no second reversal, so left and right stay as the lens puts them; old paper: common practice, no source."""
    said = {**SAID, "box": "P", "way": "direct_positive"}
    wish.say(book, said)
    notes = plan.plan(book).notes
    assert any("mirrored" in n for n in notes)
    assert not any("Old direct positive" in n for n in notes)
    own.add_box(book, {"name": "O", "paper": "direct_positive", "size": "12x16 in", "sheets": "5", "opened": "2022-01-01"})
    assert any("twice the time" in n for n in plan.plan(book, {"box": "O"}).notes)
    assert not any("mirrored" in n for n in plan.plan(book, SAID).notes)


def test_a_direct_positive_is_anchored_on_its_falling_curve_with_half_a_stop_of_latitude(book):
    """EI = 8.125/H midway between base and Dmax; on the mirror image of the closed form that is x0, H = 10^0.45866 = 2.875, EI 2.83.
    Latitude ±½ stop: three accounts, common practice, no source."""
    drawn(book, "P", "direct_positive")
    body = next(t["body"] for t in book.things("curve"))
    ei = next(f for f in body["figures"] if f["key"] == "ei_falling")
    assert ei["value"] == pytest.approx(2.83, rel=0.03)
    wish.say(book, {**SAID, "box": "P", "way": "direct_positive"})
    p = plan.plan(book)
    assert p.latitude_stops == 0.5
    assert p.ei_now == pytest.approx(2.83, rel=0.25)  # learned from the strip, against two reports of EI 1 to 3


def test_the_spoken_track_asks_for_the_flash(book):
    """Said in the light, before the box is opened; a sheet without one is not asked."""
    flash.found(book, COUNTED)
    wish.say(book, SAID)
    plain = sheet_track.of(book, expose.keep(book).code)
    wish.say(book, {"flash": "yes"})
    code = expose.keep(book).code
    track = sheet_track.of(book, code)
    told = [c.words for c in track.cues]
    assert any("flashed once" in w for w in told)
    assert told.index(next(w for w in told if "flashed once" in w)) < told.index(next(w for w in told if "take one sheet" in w))
    assert not any("flashed once" in c.words for c in plain.cues)
    assert any("to be flashed" in b for b in track.before)
    flash.given(book, code)
    assert any("once is enough" in b for b in sheet_track.of(book, code).before)


def test_a_speed_found_on_negatives_is_not_taken_for_the_reversals(book):
    """Reports: EI 4 for the negative, about 1.4 for the reversal of such paper, a stop and a half apart (common practice, no source)."""
    own.add_box(book, {"name": "N", "paper": "enlarging", "size": "12x16 in", "sheets": "5", "ei": "4"})
    negative = plan.plan(book, {**SAID, "box": "N"})
    turned = plan.plan(book, {**SAID, "box": "N", "way": "reversal_bw"})
    assert negative.ei_now == pytest.approx(4.0)
    assert turned.ei_now == pytest.approx(4.0 / 2**1.5, rel=0.01)
    assert turned.sd_stops > negative.sd_stops + 0.2  # and it is told how little that is known
    assert plan.plan(book, {**SAID, "way": "reversal_bw"}).ei_now == pytest.approx(1.41, abs=0.01)


def test_a_negatives_threshold_stands_in_for_the_reversal_of_the_same_paper_and_not_the_other_way(book):
    """What the first developer just shows is taken out of the black by as much; a direct positive's paper tells nothing of another's."""
    flash.found(book, {**COUNTED, "way": "paper_negative"})
    (t,) = flash.known(book, "D", "bought", "reversal_bw")
    assert t.words.endswith("as a negative")
    assert t.mid_share is None
    assert flash.dose(book, {"box": "D", "way": "reversal_bw"}).time_s == pytest.approx(1.98, abs=0.005)
    flash.found(book, {**COUNTED, "box": "G", "way": "reversal_bw"})
    assert flash.known(book, "G", "bought", "paper_negative") == ()
