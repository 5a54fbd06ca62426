"""The colour of a print's base and mid-tone as L*a*b*, from a picture with a white beside it, and in words. [CIE-15]

A pixel over the white's pixel, channel by channel, is how much of each light comes back: the lamp's own colour falls out.
Through the primaries of sRGB [IEC-61966-2-1] that is X, Y, Z under D65; for D50, the light prints are judged in, it is adapted by
Bradford's matrix (from memory, as colour profiles do it). No camera sees as the eye does: that is in the doubt.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from firstsheet.refusal import Problems

Illuminant = Literal["D50", "D65"]
Triple = tuple[float, float, float]
Rows = tuple[Triple, Triple, Triple]

# X, Y, Z of the illuminants for the 2° observer, Y 1 [CIE-15].
WHITES: dict[str, Triple] = {"D65": (0.95047, 1.0, 1.08883), "D50": (0.96422, 1.0, 0.82521)}
SRGB: Rows = ((0.4124564, 0.3575761, 0.1804375), (0.2126729, 0.7151522, 0.0721750), (0.0193339, 0.1191920, 0.9503041))
BRADFORD: Rows = ((0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296))
EPSILON, KAPPA = 216 / 24389, 24389 / 27  # where the cube root gives way to a straight line [CIE-15]
# Doubt of a photo and of a scan; no source, ours: lightness by uneven light [D]; a* and b* by eyes that are not ours, at
# least so much and so great a share of the colour itself.
DOUBTS = {"photo": (0.05, 1.5, 0.20), "scan": (0.01, 0.8, 0.10)}
NEUTRAL = 2.0  # chroma below which nobody would call it a stain; common practice, no source
# Hue angles [degrees] and their words; the trade calls yellow and brown warm, blue cold.
HUES = ((20.0, "pink"), (70.0, "warm, towards red-brown"), (112.0, "warm, towards yellow"), (200.0, "greenish"), (290.0, "cold, towards blue"), (335.0, "purplish"), (361.0, "pink"))  # fmt: skip
STRENGTHS = ((5.0, "slightly "), (12.0, ""), (math.inf, "strongly "))


@dataclass(frozen=True, slots=True)
class Lab:
    """L*, a*, b* under an illuminant, 2° observer, with standard deviations."""

    lightness: float
    a: float
    b: float
    lightness_sd: float
    ab_sd: float
    illuminant: str

    @property
    def chroma(self) -> float:
        """C*ab."""
        return math.hypot(self.a, self.b)


def lab(rgb: Triple, illuminant: Illuminant = "D50") -> Triple:
    """L*, a*, b* of linear sRGB light with the white at (1, 1, 1). Domain: each from 0 up. [CIE-15] [IEC-61966-2-1]"""
    xyz = _times(SRGB, rgb)
    white = WHITES[illuminant]
    if illuminant == "D50":
        xyz = _adapted(xyz)
    fx, fy, fz = (_root(v / w) for v, w in zip(xyz, white, strict=True))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def seen(
    patch: Triple, white: Triple, *, white_density: float = 0.05, taken: str = "photo", illuminant: Illuminant = "D50"
) -> Lab:
    """A patch's colour against the white beside it.

    patch, white   linear light of both in one picture, in any one scale; white above 0
    white_density  of the white itself [D], taken for neutral
    taken          "photo" or "scan"
    """
    found = Problems()
    if not all(math.isfinite(v) and v >= 0 for v in patch):
        found.add("patch", patch, "Linear light, from 0 up.")
    if not all(math.isfinite(v) and v > 0 for v in white):
        found.add("white", white, "A white with light in every channel.")
    if taken not in DOUBTS:
        found.add("taken", taken, "photo or scan.")
    if illuminant not in WHITES:
        found.add("illuminant", illuminant, "D50 or D65.")
    found.raise_if_any()
    back = 10.0**-white_density
    r, g, b = (back * p / w for p, w in zip(patch, white, strict=True))
    lightness, a_star, b_star = lab((r, g, b), illuminant)
    uneven, least, share = DOUBTS[taken]
    y = max(0.2126729 * r + 0.7151522 * g + 0.0721750 * b, 1e-4)
    lightness_sd = 116 / 3 * y ** (1 / 3) * math.log(10) * uneven
    return Lab(
        lightness, a_star, b_star, lightness_sd, math.hypot(least, share * math.hypot(a_star, b_star)), illuminant
    )


def apart(first: Lab, second: Lab) -> Lab:
    """Second less first, lit alike in one picture: the white's own colour falls out, a share of the difference is in doubt."""
    d = second.lightness - first.lightness, second.a - first.a, second.b - first.b
    least = min(first.ab_sd, second.ab_sd)
    return Lab(
        *d,
        math.hypot(first.lightness_sd, second.lightness_sd),
        max(least, 0.2 * math.hypot(d[1], d[2])),
        first.illuminant,
    )


def words(colour: Lab, share_of_doubt: float = 1.645) -> str:
    """ "slightly warm, towards yellow"; "neutral" where no eye or picture can tell it from that."""
    if colour.chroma < max(NEUTRAL, share_of_doubt * colour.ab_sd):
        return "neutral, as far as this picture tells"
    angle = math.degrees(math.atan2(colour.b, colour.a)) % 360
    hue = next(word for limit, word in HUES if angle < limit)
    return next(word for limit, word in STRENGTHS if colour.chroma < limit) + hue


def _root(t: float) -> float:
    return t ** (1 / 3) if t > EPSILON else (KAPPA * t + 16) / 116


def _times(rows: Rows, v: Triple) -> Triple:
    a, b, c = (sum(m * x for m, x in zip(row, v, strict=True)) for row in rows)
    return a, b, c


def _adapted(xyz: Triple) -> Triple:
    """From D65 to D50: Bradford's cones scaled white to white, and back."""
    at, frm, to = _times(BRADFORD, xyz), _times(BRADFORD, WHITES["D65"]), _times(BRADFORD, WHITES["D50"])
    scaled = (at[0] * to[0] / frm[0], at[1] * to[1] / frm[1], at[2] * to[2] / frm[2])
    return _times(_inverse(BRADFORD), scaled)


def _inverse(m: Rows) -> Rows:
    (a, b, c), (d, e, f), (g, h, i) = m
    det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    rows = (
        (e * i - f * h, c * h - b * i, b * f - c * e),
        (f * g - d * i, a * i - c * g, c * d - a * f),
        (d * h - e * g, b * g - a * h, a * e - b * d),
    )
    x, y, z = ((p / det, q / det, r / det) for p, q, r in rows)
    return x, y, z
