"""Plans against the photographer's own arithmetic."""

from __future__ import annotations

import math

import pytest

from firstsheet.acts import photo, reading
from firstsheet.refusal import Refusal
from tests.acts.evening import EI, Evening, begun, metered_s


def links(p: object) -> list[str]:
    return [link.key for link in p.chain]  # type: ignore[attr-defined]


def test_the_first_plan_is_the_rule_by_hand(negative: Evening) -> None:
    # f/16, EV 11, EI 4, sitter at 3 m: 256·25/2048·1.5625 = 4.88 s metered; paper's long-exposure law t^1.1 makes 5.72 s.
    p = negative.plan()
    assert metered_s(11, 16, EI) == pytest.approx(4.8828125)
    assert p.wanted_s == pytest.approx(4.8828125**1.1, rel=1e-6)
    assert p.time_s == 5.5  # by hand, halves of a second
    assert p.aperture == 16
    assert p.box == "A"
    assert p.way == "paper_negative"


def test_every_link_multiplies_to_the_answer(negative: Evening) -> None:
    p = negative.plan()
    at = {link.key: link for link in p.chain}
    assert at["extension"].stops == pytest.approx(2 * math.log2(1.25))
    after = p.chain[links(p).index("paper") + 1 :]
    assert 2.0 ** (p.nominal_log2_s + sum(link.stops for link in after)) == pytest.approx(p.wanted_s)


@pytest.mark.parametrize(("form", "stops"), [
    ({"reading": "EV 12"}, -1.0),  # twice the light
    ({"aperture": "f/22.627417"}, 1.0),  # √2 down
    ({"filter": "0.3010299957"}, 1.0),  # density log10 2 passes half
    ({"subject": "infinity"}, None),
])  # fmt: skip
def test_a_stop_is_a_stop(negative: Evening, form: dict[str, str], stops: float | None) -> None:
    if stops is None:
        with pytest.raises(Refusal):
            negative.plan(**form)
        return
    assert negative.plan(**form).nominal_log2_s - negative.plan().nominal_log2_s == pytest.approx(stops, abs=1e-6)


def test_lux_and_ev_and_a_setting_are_one_light(negative: Evening) -> None:
    # EV 11 at ISO 100 is 2.5·2^11 = 5120 lx (C = 250) and f/16 at 1/8 s [ISO-2720].
    by_ev = negative.plan().wanted_s
    assert negative.plan(reading="5120 lx").wanted_s == pytest.approx(by_ev, rel=0.01)
    assert negative.plan(reading="f/16 1/8 ISO 100").wanted_s == pytest.approx(by_ev, rel=0.01)


def test_read_on_the_board_the_lens_is_not_counted_again(negative: Evening) -> None:
    # A mid-tone wants 8.125/EI = 2.03 lx·s; under 0.5 lx that is 4.06 s, and t^1.1 is 4.67 s.
    p = negative.plan(reading="0.5 lx on the board", aperture="f/16")
    assert p.wanted_s == pytest.approx((8.125 / EI / 0.5) ** 1.1, rel=1e-6)
    assert not {"lens", "extension", "camera"} & set(links(p))
    assert {"lens", "extension", "camera"} <= set(links(negative.plan()))
    assert not any(e.key.startswith("camera:") for e in p.shared)


def test_on_the_board_the_stop_must_be_said(negative: Evening) -> None:
    with pytest.raises(Refusal) as refused:
        negative.plan(reading="0.5 lx on the board")
    assert [p.where for p in refused.value.problems] == ["aperture"]


def test_a_face_is_placed_a_stop_above_mid_tone(negative: Evening) -> None:
    # Light skin one stop over mid-tone (common practice, no source): EV 11 on it means mid-tone at EV 10, twice the time.
    by_face = negative.plan(reading="EV 11 on face_light")
    assert by_face.nominal_log2_s - negative.plan().nominal_log2_s == pytest.approx(1.0, abs=1e-6)


def test_several_readings_are_each_placed_and_their_range_told(negative: Evening) -> None:
    # EV 11 on light skin and EV 9 on dark skin both put mid-tone at EV 10; as read they lie two stops apart.
    p = negative.plan(reading="EV 11 on face_light; EV 9 on face_dark")
    assert p.nominal_log2_s - negative.plan().nominal_log2_s == pytest.approx(1.0, abs=0.01)
    assert p.range_of_scene_stops == pytest.approx(2.0, abs=1e-6)
    assert len(p.readings) == 2


def test_a_word_for_the_sky_is_a_reading_of_little_worth() -> None:
    e = begun(ei="4")
    metered = e.plan(light="open_shade")
    fresh = Evening()
    fresh.camera()
    fresh.box(ei="4")
    fresh.developer()
    fresh.say(reading="open shade", subject="3 m")
    p = fresh.plan()
    assert p.light == "open_shade"  # the word says the kind of light too
    # 8000 lx against 5120 lx of EV 11: log2 = 0.64 stop less time
    assert p.nominal_log2_s - metered.nominal_log2_s == pytest.approx(-math.log2(8000 / 5120), abs=1e-6)
    # ±0.7 stop against ±0.15 for a meter, ±0.30 against ±0.25 for the kind of instrument (the tables' own figures)
    more = (0.7**2 - 0.15**2 + 0.30**2 - 0.25**2) * (1.1**2)
    assert p.sd_stops**2 - metered.sd_stops**2 == pytest.approx(more, rel=0.1)
    assert p.keeper_chance < metered.keeper_chance


def test_a_printed_speed_steps_through_the_spectrum_once() -> None:
    # ISO P 500 is EI 8.125·500/1000 = 4.0625, stated for tungsten-like light [ISO-6846]; the sun is 1.1 stops richer in
    # what paper sees (the table's own figure). Once: 2^−1.1, and under tungsten not at all.
    e = begun(iso_p="500")
    nominal = metered_s(11, 16, 4.0625)
    p = e.plan()
    assert p.nominal_log2_s == pytest.approx(math.log2(nominal), abs=1e-6)
    assert links(p).count("light") == 1
    assert p.wanted_s == pytest.approx((nominal * 2.0**-1.1) ** 1.1, rel=1e-6)
    lamp = e.plan(light="tungsten")
    assert "light" not in links(lamp)
    assert lamp.wanted_s == pytest.approx(nominal**1.1, rel=1e-6)


def test_your_own_speed_is_not_stepped(negative: Evening) -> None:
    assert "light" not in links(negative.plan())  # found in the sun, used in the sun


def test_the_open_lens_is_stopped_down_until_a_hand_can_give_it() -> None:
    # At f/8 and EV 11, EI 4: 1.22 s; EV 13: 0.31 s, too short for a cap, f/16 gives 1.2 s (common practice: a second by hand).
    e = Evening()
    from firstsheet.acts import own

    own.add_camera(e.book, {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "8 11 16 22", "coverage": "60°",
                            "board_min": "610 mm", "board_max": "1200 mm", "length": "2.4 m", "width": "2 m", "height": "2.2 m"})  # fmt: skip
    e.box(ei="4")
    e.developer()
    e.meter()
    e.say(reading="EV 11", light="sun", subject="3 m")
    assert e.plan().aperture == 8
    assert e.plan(reading="EV 13").aperture == 16


def test_doubts_are_whole_and_the_largest_comes_first(negative: Evening) -> None:
    p = negative.plan()
    assert sum(d.share for d in p.doubts) == pytest.approx(1.0)
    assert [d.share for d in p.doubts] == sorted((d.share for d in p.doubts), reverse=True)
    low, high = p.range90_s
    assert low < p.range50_s[0] < p.wanted_s < p.range50_s[1] < high
    assert math.log2(high / low) == pytest.approx(2 * 1.6449 * p.sd_stops, rel=1e-4)  # 90 % of a normal


def test_a_phone_compared_with_the_meter_is_corrected(negative: Evening) -> None:
    # The phone said 512 cd/m² of a grey card where the meter says EV 11, 256 cd/m² (K = 12.5): a stop high, so its pictures
    # would have come out a stop short of light. Belief: phone N(0, 1), meter N(0, 0.25²), ± 0.15: gain 1/1.085 = 0.92 stop.
    e = negative
    taken = reading.photo(512.0, 0.2, "grey_card", "phone", e.now)
    number = e.book.add_reading(taken.body(), None)
    before = e.plan()
    by_phone = {"readings": [number]}
    e.book.set_setting("phrase", dict(e.book.get_setting("phrase")) | by_phone)
    unsure = e.plan()
    found = photo.compare(e.book, {"reading": str(number), "own": "EV 11"})
    assert found.reads_high_stops == pytest.approx(1.0, abs=0.01)
    sure = e.plan()
    assert sure.sd_stops < unsure.sd_stops
    assert math.log2(sure.wanted_s / unsure.wanted_s) / 1.1 == pytest.approx(1 / 1.085, abs=0.02)
    assert math.log2(sure.wanted_s / before.wanted_s) == pytest.approx(0.0, abs=0.15)


def test_an_old_reading_is_doubted_and_said(negative: Evening) -> None:
    fresh = negative.plan()
    negative.later(40)
    old = negative.plan()
    # 0.25 stop in ten minutes, as the root of time (common practice, no source): 0.5 stop after forty.
    assert old.sd_stops**2 - fresh.sd_stops**2 == pytest.approx((0.5 * 1.1) ** 2, rel=0.05)
    assert any("read the light again" in n for n in old.notes)
    assert not any("read the light again" in n for n in fresh.notes)
    assert old.wanted_s == pytest.approx(fresh.wanted_s)


def test_all_that_is_wrong_is_told_at_once(negative: Evening) -> None:
    with pytest.raises(Refusal) as refused:
        negative.plan(box="Z", light="moonbeam", subject="3", aperture="wide", reading="bright", colour="red")
    assert {p.where.partition(".")[0] for p in refused.value.problems} == {
        "box",
        "light",
        "subject",
        "aperture",
        "reading",
        "colour",
    }


def test_all_that_is_missing_is_told_at_once() -> None:
    e = Evening()
    with pytest.raises(Refusal) as refused:
        e.plan()
    assert {p.where for p in refused.value.problems} >= {"camera", "box", "developer", "reading", "light", "subject"}


def test_what_was_said_before_stays_and_is_named(negative: Evening) -> None:
    negative.sheet("as_wanted", "white")
    p = negative.plan()
    assert {"light", "subject", "readings"} <= set(p.assumed)
    assert "subject" not in negative.plan(subject="3 m").assumed


def test_a_way_that_the_paper_cannot_go_is_refused(negative: Evening) -> None:
    with pytest.raises(Refusal) as refused:
        negative.plan(way="direct_positive")
    assert refused.value.problems[0].where == "way"
