"""Where and which way, as people write it: degrees of a place, bearings, a time zone. What is doubtful is refused."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone, tzinfo
from functools import cache

from firstsheet.refusal import Refusal

LONGEST = 80
HOW_PLACE = "Try “52.5 N, 13.4 W” or “52° 30′ N 13° 24′ W”: north or south first, then east or west."
POINTS = ("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw")
_WHOLE = {"north": "n", "east": "e", "south": "s", "west": "w"}
_ALIKE = {"-": "−–‒", "'": "′’‘ʹ", '"': "″”“ʺ", "°": "º˚"}
_SIGNS = str.maketrans({sign: plain for plain, signs in _ALIKE.items() for sign in signs})
_N = r"[0-9]{1,3}(?:[.,][0-9]{1,9})?"
_ANGLE = rf"({_N}) ?(?:°|deg|d)? ?(?:({_N}) ?(?:'|min|m)? ?(?:({_N}) ?(?:\"|''|sec|s(?![a-z]))? ?)?)?"


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the earth: degrees, + north and + east."""

    latitude_deg: float
    longitude_deg: float


def spot(text: str) -> Spot:
    """ "52.5 N, 13.4 W", "52°30′15″ N 13°24′ W", "S 33 51.5, E 18 29", "-33.86, 18.48". Refuses what could be read two ways."""
    plain = _plain(text, "The degrees of a place.", HOW_PLACE)
    for name, letter in _WHOLE.items():
        plain = re.sub(rf"(?<![a-z]){name}(?![a-z])", letter, plain)
    signed = re.fullmatch(rf"([+-]?) ?({_N}) ?°?(?: ?[,;] ?| )([+-]?) ?({_N}) ?°?", plain.replace(", ", "; "))
    if signed:
        if not signed[1] and not signed[3] and "." not in plain and "," not in plain:
            raise Refusal.one("", text, "These degrees have no north, south, east or west.", HOW_PLACE)
        lat = _number(signed[2]) * (-1 if signed[1] == "-" else 1)
        lon = _number(signed[4]) * (-1 if signed[3] == "-" else 1)
    else:
        after = re.fullmatch(rf"{_ANGLE}([ns])(?: ?[,;])? ?{_ANGLE}([ew])", plain)
        before = re.fullmatch(rf"([ns]) ?{_ANGLE}[,;]? ?([ew]) ?{_ANGLE}", plain)
        if after:
            lat = _degrees(text, after[1], after[2], after[3]) * (-1 if after[4] == "s" else 1)
            lon = _degrees(text, after[5], after[6], after[7]) * (-1 if after[8] == "w" else 1)
        elif before:
            lat = _degrees(text, before[2], before[3], before[4]) * (-1 if before[1] == "s" else 1)
            lon = _degrees(text, before[6], before[7], before[8]) * (-1 if before[5] == "w" else 1)
        else:
            raise Refusal.one("", text, "Degrees north or south, then east or west.", HOW_PLACE)
    if abs(lat) > 90 or abs(lon) > 180:
        raise Refusal.one("", text, "Up to 90° north or south, up to 180° east or west.", HOW_PLACE)
    return Spot(lat, lon)


def bearing_deg(text: str) -> float:
    """A direction [° from north through east, 0 to below 360]: "S", "north-east", "SSW", "225°", "225"."""
    hint = (
        "Try “south”, “NNE” or “225°”, counted from north through east. A compass is off true north by its variation."
    )
    plain = _plain(text, "A direction.", hint)
    point = re.sub(r"north|east|south|west", lambda m: _WHOLE[m[0]], plain)
    point = re.sub(r"[ -]|by", "", point)
    if point in POINTS:
        return POINTS.index(point) * 22.5
    match = re.fullmatch(rf"({_N}) ?(?:°|deg|degrees?)?", plain)
    if match is None or _number(match[1]) > 360:
        raise Refusal.one("", text, "A direction: a compass point, or degrees from 0 to 360.", hint)
    return _number(match[1]) % 360.0


def zone(text: str) -> tzinfo:
    """A time zone by its name in the open time zone database ("CET"), or a fixed one ("UTC+2", "UTC", "UTC−3:30").

    A named one knows when its clocks change; a fixed one never changes.
    """
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    hint = "Try “CET” or “UTC+2”; a fixed one does not know summer time."
    plain = _plain(text, "A time zone.", hint)
    fixed = re.fullmatch(r"(?:utc|gmt) ?(?:([+-]) ?([0-9]{1,2})(?::?([0-9]{2}))?)?", plain)
    if fixed:
        minutes = int(fixed[2] or 0) * 60 + int(fixed[3] or 0)
        if minutes > 14 * 60 or int(fixed[3] or 0) > 59:
            raise Refusal.one("", text, "From UTC−14 to UTC+14.", hint)
        return timezone(timedelta(minutes=-minutes if fixed[1] == "-" else minutes), _fixed_name(fixed[1], minutes))
    if re.fullmatch(r"[A-Z][A-Za-z0-9_+-]*(?:/[A-Z][A-Za-z0-9_+-]*){0,2}", text.strip()):
        with suppress(ZoneInfoNotFoundError, ValueError, OSError):
            return ZoneInfo(text.strip())  # as it is kept: the whole list need not be read
    key, near = _zone_named(plain)
    if key is None:
        said = f" Near it: {', '.join(near)}." if near else ""
        raise Refusal.one("", text, f"A name of the open time zone database.{said}", hint)
    try:
        return ZoneInfo(key)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise Refusal.one("", text, "A time zone this machine knows.", hint) from None


def zone_name(z: tzinfo) -> str:
    """How a zone is kept and read back by `zone`."""
    return str(getattr(z, "key", None) or z.tzname(None))


def bounds_s(day: date, z: tzinfo) -> tuple[float, float]:
    """First moment of a day and of the next in a zone [s since 1970, UTC]: 23, 24 or 25 hours apart."""
    first = datetime(day.year, day.month, day.day, tzinfo=z)
    after = day + timedelta(days=1)
    return first.timestamp(), datetime(after.year, after.month, after.day, tzinfo=z).timestamp()


def words_of(s: Spot) -> str:
    """ "52.50° N, 13.40° W"."""
    ns, ew = "N" if s.latitude_deg >= 0 else "S", "E" if s.longitude_deg >= 0 else "W"
    return f"{abs(s.latitude_deg):.2f}° {ns}, {abs(s.longitude_deg):.2f}° {ew}"


def bearing_words(deg: float) -> str:
    """ "south (180°)"."""
    point = POINTS[round(deg / 22.5) % 16].upper()
    named = {"N": "north", "E": "east", "S": "south", "W": "west", "NE": "north-east", "SE": "south-east",
             "SW": "south-west", "NW": "north-west"}  # fmt: skip
    return f"{named.get(point, point)} ({deg % 360:.0f}°)"


def _fixed_name(sign: str | None, minutes: int) -> str:
    return "UTC" if not minutes else f"UTC{sign}{minutes // 60}" + (f":{minutes % 60:02d}" if minutes % 60 else "")


@cache
def _zones() -> dict[str, str]:
    from zoneinfo import available_timezones

    return {k.lower(): k for k in sorted(available_timezones()) if not k.startswith(("posix/", "right/", "localtime"))}


def _zone_named(plain: str) -> tuple[str | None, list[str]]:
    import difflib

    have, said = _zones(), plain.replace(" ", "_")
    if said in have:
        return have[said], []
    tails = [k for low, k in have.items() if low.rsplit("/", 1)[-1] == said]
    if len(tails) == 1:
        return tails[0], []
    near = tails or [have[low] for low in difflib.get_close_matches(said, have, 3, 0.6)]
    return None, near[:3]


def _plain(text: str, allowed: str, hint: str) -> str:
    if not isinstance(text, str) or not text.strip() or len(text) > LONGEST or not text.strip().isprintable():
        raise Refusal.one("", text, allowed, hint)
    return " ".join(text.translate(_SIGNS).lower().replace("''", '"').split())


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _degrees(asked: str, whole: str, minutes: str | None, seconds: str | None) -> float:
    parts = [p for p in (whole, minutes, seconds) if p is not None]
    if any("." in p or "," in p for p in parts[:-1]) or any(_number(p) >= 60 for p in parts[1:]):
        raise Refusal.one(
            "", asked, "Minutes and seconds below 60, and a fraction only in the last of them.", HOW_PLACE
        )
    return float(sum(_number(p) / 60.0**i for i, p in enumerate(parts)))
