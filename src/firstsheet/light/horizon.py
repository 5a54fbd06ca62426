"""What stands round a place: walls, trees, fences. When the sun is behind them, how much sky is left, what falls on a turned face.

Entered as a person can measure it: paces and a height, or the angle itself. Straight things (wall, house, fence, hedge) are as far as
said where they are nearest, in the middle of their stretch, and look lower towards their ends; trees and hills stand all as high.
What they themselves throw back is left out, as is light through leaves: about half a stop under an open crown (from memory).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

from firstsheet import quantities as q
from firstsheet.light.place import bearing_deg
from firstsheet.light.sky import Daylight
from firstsheet.light.sun import DISC_DEG, Sun
from firstsheet.refusal import Problems, Refusal

PACE_MM = 762.0
"""A marching pace of 30 inches: common practice; count your own over ten metres."""
EYES_MM = 1200.0
"""Eyes of a seated adult, and the lens, above the ground: common practice, no source."""
STRAIGHT = ("wall", "house", "fence", "hedge", "shed")
AS_HIGH = ("tree", "trees", "hill", "wood", "thing")
MOST = 12
HOW = "Try “wall from E to S, 12 paces, 3 m high” or “trees from 200° to 260°, 15° high”; one thing after another with “;”."


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing that stands there.

    kind  its name;  start_deg, end_deg  from one bearing, clockwise, to the other [°]
    high_deg    how high it looks in the middle of its stretch [°]
    straight    whether it looks lower towards its ends
    said        the words it was said in
    """

    kind: str
    start_deg: float
    end_deg: float
    high_deg: float
    straight: bool
    said: str = ""

    def height_at(self, bearing: float) -> float:
        """How high it looks in a direction [°]; 0 beside it."""
        along = (bearing - self.start_deg) % 360.0
        wide = self.width_deg
        if along > wide:
            return 0.0
        if not self.straight:
            return self.high_deg
        away = math.radians(along - wide / 2)
        return math.degrees(math.atan(math.tan(math.radians(self.high_deg)) * math.cos(away)))

    @property
    def width_deg(self) -> float:
        """From one end to the other [°]; from a bearing to itself is all round."""
        return (self.end_deg - self.start_deg) % 360.0 or 360.0


Horizon = tuple[Thing, ...]
OPEN: Horizon = ()


def horizon(text: str) -> Horizon:
    """Things as said, up to twelve, with “;” between them; "open" for none. Refuses with what is wrong in each."""
    if text.strip().lower() in ("open", "none", "free", "open ground"):
        return OPEN
    parts = [p.strip() for p in text.split(";") if p.strip()]
    if len(parts) > MOST:
        raise Refusal.one("", text, f"At most {MOST} things.", "Say the highest.")
    problems, out = Problems(), []
    for i, part in enumerate(parts):
        with problems.at("" if len(parts) == 1 else str(i + 1)):
            out.append(_thing(part))
    problems.raise_if_any()
    if not out:
        raise Refusal.one("", text, "What stands there.", HOW)
    return tuple(out)


def height_at(things: Horizon, bearing: float) -> float:
    """How high the horizon is in a direction [°], 0 or more."""
    return max((t.height_at(bearing) for t in things), default=0.0)


def sun_share(things: Horizon, sun: Sun) -> float:
    """How much of the sun's disc is seen [0–1], its height passing the edge; the edge is taken as level across it."""
    over = sun.apparent_deg - height_at(things, sun.bearing_deg)
    return min(1.0, max(0.0, over / DISC_DEG + 0.5))


@lru_cache(maxsize=256)
def sky_share(things: Horizon, face_deg: float | None) -> float:
    """Part of an even sky's light that is left, against the same face in the open [0–1].

    face_deg  bearing an upright face looks to [°]; None for level ground. Closed forms: level, cos² of an even horizon; upright,
    1 − (h + sin h·cos h)·2/π.
    """
    left = open_ = 0.0
    for i in range(360):
        b = i + 0.5
        h = math.radians(height_at(things, b))
        if face_deg is None:
            left += math.cos(h) ** 2
            open_ += 1.0
        else:
            towards = math.cos(math.radians(b - face_deg))
            if towards > 0:
                left += towards * (math.pi / 4 - (h + math.sin(h) * math.cos(h)) / 2)
                open_ += towards * math.pi / 4
    return max(0.0, left / open_)


@dataclass(frozen=True, slots=True)
class Face:
    """A face and what stands before it.

    bearing_deg  where an upright face looks [°]; None for level, looking up
    upright      what an open sky gives it against level ground [0–1]: of the sky's look, from the table
    gives_back   what the ground before it throws back [0–1]
    """

    bearing_deg: float | None
    things: Horizon
    upright: float
    gives_back: float

    def facing(self, sun: Sun) -> float:
        """Cosine of the sun's angle to the square of this face, 0 where it falls from behind."""
        up = math.radians(sun.apparent_deg)
        if self.bearing_deg is None:
            return max(0.0, math.sin(up))
        return max(0.0, math.cos(up) * math.cos(math.radians(sun.bearing_deg - self.bearing_deg)))

    def lit(self, d: Daylight, sun: Sun) -> tuple[float, float, float]:
        """Light that falls on it [lx]: of the sun, of the sky, off the ground.

        The sky's light is parted after [HAY-1980]: a ring about the sun that goes where the sun goes and is hidden with it, and an
        even rest. The ground gives back what falls on it there, in the shade where this face is in the shade.
        """
        seen = sun_share(self.things, sun)
        facing = self.facing(sun) * seen
        sine = math.sin(math.radians(max(sun.apparent_deg, 0.0)))
        share = sky_share(self.things, self.bearing_deg) * (1.0 if self.bearing_deg is None else self.upright)
        of_sun = d.beam_lx * facing
        of_sky = d.sky_lx * (d.ring / max(sine, LOWEST_UP) * facing + (1 - d.ring) * share)
        if self.bearing_deg is None:
            return of_sun, of_sky, 0.0
        on_ground = d.beam_lx * sine * seen + d.sky_lx * sky_share(self.things, None)
        return of_sun, of_sky, on_ground * self.gives_back / 2


LOWEST_UP = math.sin(math.radians(3.0))  # so that the ring of a setting sun does not grow without bound


_BETWEEN = r"(?:from )?(?P<a>[a-z]+(?:[ -](?:north|south|east|west))*|[0-9]+(?:[.,][0-9]+)? ?(?:°|deg)?) ?(?:to|-|–) ?(?P<b>[a-z]+(?:[ -](?:north|south|east|west))*|[0-9]+(?:[.,][0-9]+)? ?(?:°|deg)?)"
_THING = re.compile(rf"(?P<kind>{'|'.join((*STRAIGHT, *AS_HIGH))}) {_BETWEEN}(?:,| ) ?(?P<rest>.+)")


def _thing(text: str) -> Thing:
    plain = " ".join(text.lower().replace("º", "°").split())
    found = _THING.fullmatch(plain)
    if found is None:
        kinds = ", ".join((*STRAIGHT, *AS_HIGH))
        raise Refusal.one("", text, f"A thing ({kinds}), from which bearing clockwise to which, and how high.", HOW)
    start, end = bearing_deg(found["a"].strip()), bearing_deg(found["b"].strip())
    straight = found["kind"] in STRAIGHT
    high = _high_deg(text, found["rest"])
    made = Thing(found["kind"], start, end, high, straight, text.strip())
    if straight and made.width_deg > 170:
        raise Refusal.one("", text, "A straight thing takes up at most 170° of the horizon.", "Say it as two: “wall from N to E, …; wall from E to S, …”.")  # fmt: skip
    return made


def _high_deg(text: str, rest: str) -> float:
    """How high it looks, from an angle, or from how far and how high it is [°]."""
    angle = re.fullmatch(r"([0-9]{1,2}(?:[.,][0-9]+)?) ?(?:°|deg|degrees)(?: high| up)?", rest)
    if angle:
        high = float(angle[1].replace(",", "."))
        if not 0 < high < 90:
            raise Refusal.one("", text, "An angle above the level, between 0° and 90°.", HOW)
        return high
    parts = re.fullmatch(r"(?P<far>.+?)(?: away| off)?(?:,| and) ?(?P<high>.+?)(?: high| tall)?", rest)
    if parts is None:
        raise Refusal.one("", text, "How far and how high it is, or how high it looks.", HOW)
    paces = re.fullmatch(r"([0-9]{1,4}(?:[.,][0-9]+)?|½) ?paces?", parts["far"])
    far = float(paces[1].replace(",", ".").replace("½", "0.5")) * PACE_MM if paces else q.length_mm(parts["far"])
    tall = q.length_mm(parts["high"])
    if not 300 <= far <= 50_000_000 or not 0 < tall <= 5_000_000:
        raise Refusal.one("", text, "From 30 cm to 50 km away, up to 5 km high.", "Check the units.")
    if tall <= EYES_MM:
        raise Refusal.one(
            "", text, "Higher than a seated person’s eyes, 1.2 m: lower things hide no sun.", "Leave it out."
        )
    return math.degrees(math.atan2(tall - EYES_MM, far))
