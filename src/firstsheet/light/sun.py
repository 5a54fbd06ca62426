"""Where the sun stands, to about a hundredth of a degree, in plain arithmetic.

The sun's place is Meeus's short series with its five perturbations [MEEUS-1979], nutation by its four largest terms [MEEUS-1991],
aberration, parallax, and refraction by Bennett's formula turned round [SAEMUNDSSON-1986]. Moments are seconds since 1970 in UTC
(`time_s`); bearings run from north through east. Good from 1950 to 2100: the earth's clock is taken to be 69 s behind the
almanac's, which is ± 25 s over those years and moves the sun by less than 0.001°.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

CLOCK_BEHIND_S = 69.0
SET_DEG = -0.8333
"""True height of the disc's middle when its upper limb is on a level horizon: half the disc, 16′, and refraction, 34′."""
DISC_DEG = 0.533
"""Mean width of the disc [°]."""

_TURN = 360.0


class Sun(NamedTuple):
    """Where it stands.

    height_deg    true height of the disc's middle above the level horizon [°], without air
    apparent_deg  as seen, through the air [°]
    bearing_deg   from north through east [°], 0 to 360
    """

    height_deg: float
    apparent_deg: float
    bearing_deg: float


class Sky(NamedTuple):
    """The sun against the stars: right ascension less sidereal time at longitude 0 [°], declination [°], distance [au]."""

    westing_deg: float
    declination_deg: float
    distance_au: float


def longitude_and_distance(centuries: float) -> tuple[float, float]:
    """Geometric longitude [°, 0 to 360] and distance [au] for Julian centuries of 36 525 days from noon of 31 December 1899."""
    t = centuries
    mean = 279.69668 + 36000.76892 * t + 0.0003025 * t * t
    m = math.radians((358.47583 + 35999.04975 * t - 0.000150 * t * t - 0.0000033 * t**3) % _TURN)
    e = 0.01675104 - 0.0000418 * t - 0.000000126 * t * t
    centre = (1.919460 - 0.004789 * t - 0.000014 * t * t) * math.sin(m)
    centre += (0.020094 - 0.000100 * t) * math.sin(2 * m) + 0.000293 * math.sin(3 * m)
    a, b, c, d, h = (
        math.radians(x % _TURN)
        for x in (
            153.23 + 22518.7541 * t,
            216.57 + 45037.5082 * t,
            312.69 + 32964.3577 * t,
            350.74 + 445267.1142 * t - 0.00144 * t * t,
            353.40 + 65928.7155 * t,
        )
    )
    slow = math.radians((231.19 + 20.20 * t) % _TURN)
    pulled = 0.00134 * math.cos(a) + 0.00154 * math.cos(b) + 0.00200 * math.cos(c)
    pulled += 0.00179 * math.sin(d) + 0.00178 * math.sin(slow)
    true = m + math.radians(centre)
    far = 1.0000002 * (1 - e * e) / (1 + e * math.cos(true))
    far += 0.00000543 * math.sin(a) + 0.00001575 * math.sin(b) + 0.00001627 * math.sin(c)
    far += 0.00003076 * math.cos(d) + 0.00000927 * math.sin(h)
    return (mean + centre + pulled) % _TURN, far


def nutation(centuries: float) -> tuple[float, float, float]:
    """Nutation in longitude and in obliquity, and the true obliquity [°] for centuries from noon of 1 January 2000."""
    t = centuries
    node = math.radians((125.04452 - 1934.136261 * t) % _TURN)
    sun2 = math.radians((2 * (280.4665 + 36000.7698 * t)) % _TURN)
    moon2 = math.radians((2 * (218.3165 + 481267.8813 * t)) % _TURN)
    along = -17.20 * math.sin(node) - 1.32 * math.sin(sun2) - 0.23 * math.sin(moon2) + 0.21 * math.sin(2 * node)
    tilt = 9.20 * math.cos(node) + 0.57 * math.cos(sun2) + 0.10 * math.cos(moon2) - 0.09 * math.cos(2 * node)
    mean = 23.4392911 - 0.0130042 * t - 1.64e-7 * t * t
    return along / 3600, tilt / 3600, mean + tilt / 3600


def sky_at(time_s: float) -> Sky:
    """The sun against the stars at a moment [s since 1970, UTC]."""
    days = time_s / 86400.0 - 10957.5  # from noon of 1 January 2000
    almanac = days + CLOCK_BEHIND_S / 86400.0
    true, far = longitude_and_distance((almanac + 36525.0) / 36525.0)
    along, _, tilt = nutation(almanac / 36525.0)
    seen = math.radians(true + along - 20.4898 / 3600 / far)
    slant = math.radians(tilt)
    ascension = math.degrees(math.atan2(math.cos(slant) * math.sin(seen), math.cos(seen)))
    declination = math.degrees(math.asin(math.sin(slant) * math.sin(seen)))
    stars = 280.46061837 + 360.98564736629 * days + 0.000387933 * (days / 36525.0) ** 2 + along * math.cos(slant)
    return Sky((ascension - stars) % _TURN, declination, far)


def refraction_deg(height_deg: float, pressure_mbar: float = 1010.0, air_c: float = 10.0) -> float:
    """What the air lifts the sun by [°] at a true height [°]; below the horizon's own lift, where nobody sees it, 0."""
    if height_deg < SET_DEG:
        return 0.0
    lift = 1.02 / (60.0 * math.tan(math.radians(height_deg + 10.3 / (height_deg + 5.11))))
    return pressure_mbar / 1010.0 * 283.0 / (273.0 + air_c) * lift


def pressure_mbar(above_sea_m: float) -> float:
    """Pressure of the standard atmosphere [mbar] at a height above the sea [m]; domain −500 to 9000 m. [ISO-2533]"""
    return float(1013.25 * (1 - 2.25577e-5 * above_sea_m) ** 5.25588)


@dataclass(frozen=True, slots=True)
class Course:
    """The sun over one place through up to 26 hours: its slow motions are worked out three times and joined by a parabola,
    which is off by less than 0.0001°.

    latitude_deg, longitude_deg  + north, + east [°];  start_s  first moment [s since 1970, UTC]
    """

    sine: float
    cosine: float
    longitude_deg: float
    start_s: float
    westing: tuple[float, float, float]
    declination: tuple[float, float, float]
    distance_au: float
    pressure_mbar: float
    air_c: float

    STEP_S = 46_800.0

    @classmethod
    def over(
        cls, latitude_deg: float, longitude_deg: float, start_s: float, *, pressure: float = 1010.0, air_c: float = 10.0
    ) -> Course:
        one, two, three = (sky_at(start_s + i * cls.STEP_S) for i in range(3))
        h = [one.westing_deg, two.westing_deg, three.westing_deg]
        for i in (1, 2):  # unwound: it falls by a turn a day
            h[i] -= _TURN * round((h[i] - h[i - 1] + _TURN * cls.STEP_S / 86400.0) / _TURN)
        lat = math.radians(latitude_deg)
        return cls(
            math.sin(lat), math.cos(lat), longitude_deg, start_s, _parabola(*h),
            _parabola(one.declination_deg, two.declination_deg, three.declination_deg), two.distance_au, pressure, air_c,
        )  # fmt: skip

    def at(self, time_s: float) -> Sun:
        """Where the sun stands at a moment within the 26 hours [s since 1970, UTC]."""
        x = (time_s - self.start_s) / self.STEP_S
        a, b, c = self.westing
        hour = math.radians(self.longitude_deg - (a + x * (b + x * c)))
        a, b, c = self.declination
        d = math.radians(a + x * (b + x * c))
        sd, cd, ch = math.sin(d), math.cos(d), math.cos(hour)
        up = self.sine * sd + self.cosine * cd * ch
        north = self.cosine * sd - self.sine * cd * ch
        east = -cd * math.sin(hour)
        level = math.hypot(north, east)
        height = math.degrees(math.atan2(up, level)) - 0.0024428 / self.distance_au * level  # parallax
        lifted = height + refraction_deg(height, self.pressure_mbar, self.air_c)
        return Sun(height, lifted, math.degrees(math.atan2(east, north)) % _TURN)


def _parabola(y0: float, y1: float, y2: float) -> tuple[float, float, float]:
    """Coefficients through (0, y0), (1, y1), (2, y2)."""
    c = (y2 - 2 * y1 + y0) / 2
    return y0, y1 - y0 - c, c


def position(
    time_s: float, latitude_deg: float, longitude_deg: float, *, pressure: float = 1010.0, air_c: float = 10.0
) -> Sun:
    """Where the sun stands at one moment over one place.

    time_s [s since 1970, UTC], 1950 to 2100; latitude + north, longitude + east [°]; pressure [mbar], air [°C]
    """
    return Course.over(latitude_deg, longitude_deg, time_s, pressure=pressure, air_c=air_c).at(time_s)
