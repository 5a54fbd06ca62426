"""Walls and trees, the sky they leave, and light on a turned face: closed forms, laws, and what people type."""

from __future__ import annotations

import contextlib
import math
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstsheet.light import horizon as hz
from firstsheet.light import place, sky
from firstsheet.light.sun import Sun, refraction_deg
from firstsheet.refusal import Refusal

AIR = sky.Air.over()


def sun(height: float, bearing: float = 180.0) -> Sun:
    return Sun(height, height + refraction_deg(height), bearing)


@pytest.mark.parametrize("h", [0.5, 10.0, 35.0, 70.0])
def test_an_even_horizon_leaves_the_closed_form(h: float) -> None:
    ring = (hz.Thing("hill", 0, 360, h, False),)
    r = math.radians(h)
    assert hz.sky_share(ring, None) == pytest.approx(math.cos(r) ** 2, rel=1e-9)
    assert hz.sky_share(ring, 77.0) == pytest.approx(1 - (r + math.sin(r) * math.cos(r)) * 2 / math.pi, rel=1e-6)


def test_an_endless_wall_behind_takes_nothing_from_a_face_and_before_it_all() -> None:
    wall = hz.horizon("wall from 96° to 264°, 30 cm away, 5 km high")
    assert hz.sky_share(wall, 0.0) > 0.98
    assert hz.sky_share(wall, 180.0) < 0.02


def test_a_wall_looks_as_high_as_its_paces_say() -> None:
    """12 paces of 762 mm, 3 m high, from eyes at 1.2 m: atan(1.8 / 9.144) = 11.14°; at 45° aside it is √2 as far."""
    wall = hz.horizon("wall from E to S, 12 paces, 3 m high")
    assert hz.height_at(wall, 135.0) == pytest.approx(11.14, abs=0.01)
    assert hz.height_at(wall, 90.0) == pytest.approx(math.degrees(math.atan(1.8 / 9.144 / math.sqrt(2))), abs=0.01)
    assert hz.height_at(wall, 89.0) == 0.0


def test_the_sun_goes_behind_an_edge_in_the_width_of_its_disc() -> None:
    trees = hz.horizon("trees from 170° to 190°, 20° high")
    assert hz.sun_share(trees, Sun(20, 20.0, 180)) == pytest.approx(0.5)
    assert hz.sun_share(trees, Sun(20.3, 20.3, 180)) == 1.0
    assert hz.sun_share(trees, Sun(19.7, 19.7, 180)) == 0.0
    assert hz.sun_share(trees, Sun(19.7, 19.7, 169)) == 1.0


@given(st.floats(-11, 90), st.floats(0, 360), st.sampled_from(sky.sky_keys()))
def test_level_in_the_open_is_the_light_of_the_open(height: float, bearing: float, key: str) -> None:
    d = sky.daylight(sun(height, bearing), 1.0, key, AIR)
    flat = hz.Face(None, hz.OPEN, 1.0, 0.2)
    got = sum(flat.lit(d, sun(height, bearing)))
    assert got == pytest.approx(d.level_lx, rel=0.02 if height > 3.2 else 0.06)


@given(st.floats(5, 60), st.floats(0, 180))
def test_a_face_east_of_the_sun_is_lit_as_one_as_far_west_of_it(height: float, off: float) -> None:
    s = sun(height, 180.0)
    d = sky.daylight(s, 1.0, "clear_sun", AIR)
    east, west = (hz.Face((180 + o) % 360, hz.OPEN, 0.5, 0.2) for o in (-off, off))
    assert sum(east.lit(d, s)) == pytest.approx(sum(west.lit(d, s)), rel=1e-6)


def test_turned_away_and_in_shade_a_face_has_sky_and_ground_alone() -> None:
    s = sun(30.0, 180.0)
    d = sky.daylight(s, 1.0, "clear_sun", AIR)
    away = hz.Face(0.0, hz.OPEN, 0.5, 0.2).lit(d, s)
    assert away[0] == 0.0
    shade = hz.Face(180.0, hz.horizon("trees from 150° to 210°, 60° high"), 0.5, 0.2).lit(d, s)
    assert shade[0] == 0.0
    assert sum(shade) < sum(away)


def test_open_shade_is_about_what_photographers_call_it() -> None:
    """Some three stops under full sun: from memory; 10 000 to 25 000 lx are quoted for full daylight without sun."""
    s = sun(45.0, 180.0)
    d = sky.daylight(s, 1.0, "clear_sun", AIR)
    lit, away = (sum(hz.Face(b, hz.OPEN, 0.5, 0.2).lit(d, s)) for b in (180.0, 0.0))
    assert 2.0 < math.log2(lit / away) < 4.0
    assert 5000 < away < 25_000


@pytest.mark.parametrize("text", ["wall", "moat from E to S, 3 m, 3 m", "wall from E to S", "wall from E to S, 12 paces", "wall from E to S, 3, 3",
                                  "wall from N to W, 3 m, 3 m high", "trees from 0 to 90, 95° high", "fence from E to S, 3 m away, 1 m high",
                                  "wall from up to S, 3 m, 3 m high", "", ";;", "wall from E to S, 1 cm, 3 m high"])  # fmt: skip
def test_what_is_doubtful_is_refused(text: str) -> None:
    with pytest.raises(Refusal):
        hz.horizon(text)


def test_every_wrong_thing_is_told_at_once() -> None:
    with pytest.raises(Refusal) as told:
        hz.horizon("wall; trees from 1 to 9, 5° high; moat from E to S, 4 m, 3 m")
    assert [p.where for p in told.value.problems] == ["1", "3"]


@pytest.mark.parametrize(("text", "lat", "lon"), [
    ("52.5 N, 13.4 W", 52.5, -13.4), ("52.5N 13.4E", 52.5, 13.4), ("52° 30′ N 13° 24′ W", 52.5, -13.4),
    ("52°30'36\" S, 13°24'0\" E", -52.51, 13.4), ("S 33 51.6, E 18 30", -33.86, 18.5), ("-33.86, 18.48", -33.86, 18.48),
    ("−33,86; 18,48", -33.86, 18.48), ("0 N 180 W", 0, -180), ("90 south 0 east", -90, 0), ("+52.5 -13.4", 52.5, -13.4),
    ("52 deg 30 min N 13 deg 24 min W", 52.5, -13.4),
])  # fmt: skip
def test_places_in_the_usual_notations(text: str, lat: float, lon: float) -> None:
    found = place.spot(text)
    assert (found.latitude_deg, found.longitude_deg) == (pytest.approx(lat), pytest.approx(lon))


@pytest.mark.parametrize("text", ["", "here", "52 13", "91 N 0 E", "52 N 181 E", "52.5.1 N 3 E", "52°61′ N 3° E", "52.5°30′ N 3° E", "52 N", "52 N 13 N",
                                  "3 E 52 N", "nan nan", "1e3, 2", "5" * 90])  # fmt: skip
def test_places_that_could_be_anywhere_are_refused(text: str) -> None:
    with pytest.raises(Refusal):
        place.spot(text)


@given(st.text(max_size=60))
def test_nothing_typed_breaks_the_door(text: str) -> None:
    for parse in (place.spot, place.bearing_deg, place.zone, hz.horizon):
        with contextlib.suppress(Refusal):
            parse(text)


@pytest.mark.parametrize(("text", "deg"), [("S", 180), ("north-east", 45), ("SSW", 202.5), ("225°", 225), ("360", 0), ("west", 270)])  # fmt: skip
def test_bearings(text: str, deg: float) -> None:
    assert place.bearing_deg(text) == deg


def test_a_day_has_the_hours_its_clocks_give_it() -> None:
    """The last Sundays of March and October 2026, when central European clocks change."""
    cet = place.zone("cet")
    hours = [
        (b - a) / 3600
        for a, b in (place.bounds_s(d, cet) for d in (date(2026, 3, 29), date(2026, 10, 25), date(2026, 7, 1)))
    ]
    assert hours == [23, 25, 24]
    first = datetime.fromtimestamp(place.bounds_s(date(2026, 3, 29), cet)[0], UTC)
    assert first == datetime(2026, 3, 28, 23, tzinfo=UTC)


def test_zones_are_found_and_said_again() -> None:
    for text in ("CET", "UTC+2", "utc", "UTC−3:30", "EST5EDT"):
        assert place.zone(place.zone_name(place.zone(text))).utcoffset(datetime(2026, 7, 1)) == place.zone(text).utcoffset(datetime(2026, 7, 1))  # fmt: skip
    with pytest.raises(Refusal, match="Near it"):
        place.zone("CETT")
