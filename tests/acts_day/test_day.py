"""A day at one place: sunset as published, seconds as a plan gives them, laws of the day, and what is kept."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest

from firstsheet.acts import day, day_place, day_sun, own, plan
from firstsheet.book.store import Book
from firstsheet.camera import sunburn
from firstsheet.light import words
from firstsheet.refusal import Refusal

from .conftest import Clock

SHEET = {"subject": "3 m", "aperture": "f/16"}


@pytest.mark.parametrize(("when", "which", "clock_s"), [("2003-10-17", "rise", 6 * 3600 + 12 * 60 + 43), ("2003-10-16", "set", 17 * 3600 + 20 * 60 + 19)])  # fmt: skip
def test_sunrise_and_sunset_of_the_published_case(bare: Book, when: str, which: str, clock_s: int) -> None:
    """The day 17 October 2003 in UTC at 39.742476° N, 105.1786° W: up 06:12:43, down 17:20:19 at UTC−7, which is the evening of the
    16th there. [NREL-SPA]"""
    found = day.day(bare, {"place": "39.742476 N 105.1786 W", "zone": "UTC-7", "date": when})
    at = getattr(found, which)
    assert at.hour * 3600 + at.minute * 60 + at.second == pytest.approx(clock_s, abs=5)


@pytest.mark.parametrize(("when", "hours"), [("2026-03-29", 23), ("2026-10-25", 25), ("2026-06-21", 24)])
def test_a_day_is_as_long_as_its_clocks_say(book: Book, when: str, hours: int) -> None:
    found = day.day(book, {"date": when})
    assert len(found.course) == hours * 60 // day.EVERY_MIN
    assert {r.at.date() for r in found.course} == {date.fromisoformat(when)}


def test_clocks_change_and_the_sun_does_not(book: Book) -> None:
    """By the clocks of the day after, everything is an hour later; in UTC a few minutes at most."""
    before, after = (day.day(book, {"date": d}) for d in ("2026-03-28", "2026-03-29"))
    by_clock = after.highest.at.replace(tzinfo=None) - before.highest.at.replace(tzinfo=None) - timedelta(days=1)
    assert timedelta(minutes=57) < by_clock < timedelta(minutes=63)


@pytest.mark.parametrize(
    ("place", "when", "said"), [("90 N 0 E", "2026-06-21", "up"), ("90 S 0 E", "2026-06-21", "down")]
)
def test_days_without_a_sunset(bare: Book, place: str, when: str, said: str) -> None:
    found = day.day(bare, {"place": place, "zone": "UTC", "date": when, "faces": "S"})
    assert (found.all_day, found.rise, found.set) == (said, None, None)


@pytest.mark.parametrize(("sky", "light"), [("bright cloud", "overcast"), ("heavy_cloud", "overcast")])
def test_seconds_are_what_a_plan_gives_for_that_light(book: Book, sky: str, light: str) -> None:
    found = day.day(book, SHEET | {"sky": sky})
    for r in found.course[90:230:20]:
        assert r.time_s is not None
        p = plan.plan(book, SHEET | {"reading": f"{r.face_lx:.4f} lx", "how": "incident", "light": light})
        assert r.time_s == pytest.approx(p.wanted_s, rel=1e-3)
        assert r.range90_s is not None
        assert r.range90_s[1] / r.range90_s[0] > p.range90_s[1] / p.range90_s[0]


def test_the_doubt_holds_that_of_the_sky(book: Book) -> None:
    """± 0.7 stop for a word of the sky and ± 0.3 for all such words together, on top of what the sheet is in doubt of anyway."""
    found = day.day(book, SHEET | {"sky": "bright cloud"}).highest
    p = plan.plan(book, SHEET | {"reading": "bright cloud", "light": "overcast"})
    assert found.range90_s is not None
    assert math.log2(found.range90_s[1] / found.range90_s[0]) == pytest.approx(2 * 1.645 * p.sd_stops, rel=0.03)
    assert words.skies()["bright_cloud"].sd_stops == 0.7


def test_in_sun_the_light_is_between_sun_and_shade(book: Book) -> None:
    """Mixed light counts by what the paper receives of each kind, so its time lies between those of the kinds alone."""
    noon = day.day(book, SHEET).highest
    assert noon.time_s is not None
    each = [
        plan.plan(book, SHEET | {"reading": f"{noon.face_lx:.3f} lx", "how": "incident", "light": k}).wanted_s
        for k in ("sun", "open_shade")
    ]
    assert min(each) < noon.time_s < max(each)


def test_a_day_round_the_solstice_is_the_same_both_sides_of_noon(book: Book) -> None:
    """A law: at a solstice the declination stands still, so for a face to the south morning and evening are alike."""
    found = day.day(book, SHEET | {"zone": "UTC", "date": "2026-06-21"})
    middle = found.rise + (found.set - found.rise) / 2 if found.rise and found.set else None
    assert middle is not None
    for r in found.course:
        other = min(found.course, key=lambda o: abs((o.at - middle) + (r.at - middle)))
        if r.height_deg > 8 and abs((other.at - middle) + (r.at - middle)) < timedelta(seconds=150):
            assert other.face_lx == pytest.approx(r.face_lx, rel=0.06)


def test_half_of_this_light(book: Book, clock: Clock) -> None:
    clock.now = clock.now.replace(hour=19, minute=30)
    found = day.day(book, SHEET)
    assert found.now is not None
    assert found.half_in_s is not None
    then = found.now.at + timedelta(seconds=found.half_in_s)
    near = min(found.course, key=lambda r: abs(r.at - then))
    assert near.face_lx == pytest.approx(found.now.face_lx / 2, rel=0.15)


def test_best_windows_keep_within_half_a_stop(book: Book) -> None:
    found = day.day(book, SHEET | {"around": "wall from S to W, 5 paces, 6 m high"})
    assert found.windows
    for w in found.windows:
        inside = [r.face_lx for r in found.course if w.span.start <= r.at <= w.span.end]
        assert max(inside) / min(inside) <= 2**0.5 * 1.001
    assert {w.which for w in found.windows} >= {"brightest"}
    assert found.windows[0].middle.face_lx >= 0.7 * max(r.face_lx for r in found.course)


def test_a_wall_takes_the_sun_from_the_face(book: Book) -> None:
    free, walled = day.day(book, SHEET), day.day(book, SHEET | {"around": "wall from S to W, 5 paces, 6 m high"})
    hours = [sum((s.end - s.start).total_seconds() for s in d.sun_on_face) for d in (free, walled)]
    assert hours[1] < hours[0] - 3600


def test_without_a_sheet_the_light_is_told_and_what_is_lacking(bare: Book) -> None:
    found = day.day(bare, {"place": "52 N 0 E", "zone": "CET"})
    assert found.highest.time_s is None
    assert found.highest.face_lx > 50_000
    assert {p.where for p in found.lacking} >= {"camera", "box", "developer"}
    assert found.lens is None


def test_a_sheet_that_cannot_be_does_not_take_the_light_away(book: Book) -> None:
    found = day.day(book, {"subject": "0.7 m"})
    assert found.lacking
    assert found.windows
    assert all(r.time_s is None for r in found.course)


def test_a_place_is_typed_once_kept_here_and_forgotten(bare: Book) -> None:
    with pytest.raises(Refusal) as told:
        day.day(bare)
    assert {p.where for p in told.value.problems} == {"place", "zone"}
    day.day(bare, {"place": "52 N 0 E", "zone": "CET"})
    assert not day_place.known(bare)
    day_place.say(
        bare, {"place": "52 N 0 E", "zone": "cet", "around": "trees from 200 to 260, 15° high", "barrel": "80 mm"}
    )
    assert day_place.stand(bare).zone == "CET"
    assert day_place.say(bare, {"barrel": "none"}).barrel_mm is None
    assert day_place.stand(bare).around.startswith("trees")
    day_place.forget(bare)
    assert not day_place.known(bare)


def test_all_that_is_wrong_is_told_at_once_and_nothing_is_kept(book: Book) -> None:
    with pytest.raises(Refusal) as told:
        day_place.say(book, {"place": "95 N 0 E", "zone": "Nowhere", "faces": "up", "around": "moat", "barrel": "9 km", "ground": "lava",
                             "above_sea": "9000 m"})  # fmt: skip
    assert {p.where for p in told.value.problems} == {
        "place",
        "zone",
        "faces",
        "around",
        "barrel",
        "ground",
        "above_sea",
    }
    assert day_place.stand(book).latitude_deg == 52
    with pytest.raises(Refusal) as told:
        day.day(book, {"date": "1850-01-01", "sky": "window"})
    assert {p.where for p in told.value.problems} == {"date", "sky"}


def test_the_sun_in_the_lens(book: Book, clock: Clock) -> None:
    """The lens looks north, so in June the sun gets in early and late; a barrel narrows the hours, a wall before it too."""
    found = day.day(book).lens
    assert found is not None
    assert len(found.spans) == 2
    assert found.looks_deg == 0
    assert not found.now
    assert found.caution.startswith("Never look into the lens")
    assert 0 < found.most_kw_m2 < sunburn.focus_irradiance_kw_m2(8, 0.85, 1.0)
    narrow = day.day(book, {"barrel": "100 mm"}).lens
    walled = day.day(book, {"before_lens": "wood from 300 to 60, 40° high"}).lens
    assert narrow is not None
    assert walled is not None
    assert narrow.within_deg == pytest.approx(math.degrees(math.atan(75 / 100)))
    assert 0 < seconds(walled) < seconds(found)
    assert 0 <= seconds(narrow) < seconds(found)
    assert day.day(book, {"date": "2026-12-21"}).lens.spans == ()  # type: ignore[union-attr]
    assert day.day(book, {"lens_looks": "E"}).lens.looks_deg == 90  # type: ignore[union-attr]


def test_a_lens_that_looks_nowhere_yet_may_see_the_sun_all_day(book: Book) -> None:
    day_place.say(book, {"faces": "none"})
    found = day.day(book).lens
    assert found is not None
    assert len(found.spans) == 1
    assert found.now
    assert found.looks_deg is None


def test_in_those_hours_it_asks_first(book: Book, clock: Clock) -> None:
    camera = own.one(book, "camera", None)
    day_sun.ask_first(book, own.lens_of(camera.body), seen=False)
    clock.now = clock.now.replace(hour=5)
    with pytest.raises(Refusal, match="can enter it until 09:2"):
        day_sun.ask_first(book, own.lens_of(camera.body), seen=False)
    day_sun.ask_first(book, own.lens_of(camera.body), seen=True)


def seconds(lens: day_sun.LensSun) -> float:
    return sum((s.end - s.start).total_seconds() for s in lens.spans)
