"""Reads a test strip or step wedge print from a picture: densities with their doubt, and where each step was seen."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from firstsheet.refusal import Problems
from firstsheet.strips import card as cards
from firstsheet.strips import layout, plane
from firstsheet.strips.card import CardSaid, Known
from firstsheet.strips.decode import Linear, linear
from firstsheet.strips.densities import Measured, Step, measured
from firstsheet.strips.find import Found, find, frame
from firstsheet.strips.flat import Flat, card_seen, flat_of, with_flare
from firstsheet.strips.tone import FEWEST, SPOILED_SD, Tone, Verdict, fitted, verdict
from firstsheet.strips.whole import refused

if TYPE_CHECKING:
    import numpy as np

    Floats = np.ndarray[Any, np.dtype[Any]]

Point = tuple[float, float]
Sense = Literal["negative", "positive"]
MOST_REJECTED = 0.5  # share of steps that are uneven or covered; what has more is no strip
MOST_BACK, LEAST_RANGE = 0.3, 0.2  # what densities may go back, as a share of their range [density]
SURE_SD = 0.06  # a step less sure than this is a bound, not a reading [density]
BOUND = 1.3  # standard deviations below what was read
LOOK_SD = 0.05  # share of a density that a phone's look may bend where no greys tell (common practice, no source)


@dataclass(frozen=True, slots=True)
class Patch:
    """One step, in order of exposure, least first.

    polygon    four corners in fractions of the picture's width and height
    density    reflection density, above `Reference`; None where rejected
    sd         its doubt, without the reference's own
    censored   "at_least"/"at_most": the density is a bound
    rejected   why it was not read, "" where it was
    shared     the part of sd that this picture's steps share: its flare [density]
    """

    polygon: tuple[Point, Point, Point, Point]
    density: float | None
    sd: float | None
    censored: Literal["at_least", "at_most"] | None = None
    rejected: str = ""
    shared: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Reference:
    """What densities are counted from: the card's white (then they are true reflection densities), or the strip's own
    border or lightest step (then they are above that). density and sd are those of the thing itself, 0 where unknown."""

    kind: Literal["card", "border", "lightest step"]
    density: float
    sd: float


@dataclass(frozen=True, slots=True)
class StripRead:
    """corners: of the strip, fractions of the picture, first two along the side of the first step to the last."""

    patches: tuple[Patch, ...]
    corners: tuple[Point, Point, Point, Point]
    card_corners: tuple[Point, Point, Point, Point] | None
    reference: Reference
    flare_share: float | None  # of a white's light; None where it could not be measured
    tone_curve: bool
    proposed_steps: int
    count_given: bool
    notes: tuple[str, ...]


def read_strip(
    data: bytes,
    *,
    steps: int | None,
    sense: Sense,
    corners: tuple[Point, ...] | None = None,
    card: CardSaid | None = None,
    taken: Literal["scan", "photo"] | None = None,
) -> StripRead:
    """The densities of a strip in a picture file.

    steps     how many there are; None takes the count the picture proposes, which is a guess
    sense     "negative": more exposure is darker; decides which end is the first
    corners   four corners as dragged, fractions of the picture, in order round the strip; None finds them
    card      what is known of the printed card in the picture; None = no card lies there
    taken     None: the file says whether a camera took it. A photo's look is doubted where no greys tell it

    Refusal by name: no strip, cut off, blurred, overexposed, too small, no picture.
    """
    _checked(steps, sense, corners)
    known = card.patches() if card is not None else None
    picture = linear(data)
    px = _pixels(corners, picture) if corners is not None else None
    found = find(picture.light, picture.high, steps, px, want_card=card is not None)
    notes = list(picture.notes)
    if card is not None and found.card is None:
        notes.append("The card was not found: densities are counted from the strip itself.")
    if found.card is None:
        known = None
    light, lit = _light(picture, found, known)
    steps_seen = measured(light, picture, found, lit.flat)
    if known is None and sense == "negative" and steps_seen.border is not None and _border_burnt(picture, found):
        raise refused("border")
    photo = picture.camera if taken is None else taken == "photo"
    result = _assembled(picture, found, lit, steps_seen, sense, photo)
    spoiled = sum(bool(p.rejected) for p in result.patches) > MOST_REJECTED * len(result.patches)
    if corners is None and (spoiled or _goes_back(result.patches)):
        raise refused("none")
    return replace(
        result,
        count_given=steps is not None,
        notes=tuple(notes) + result.notes + _said(card, lit, steps_seen, steps, photo),
    )


def _checked(steps: int | None, sense: str, corners: tuple[Point, ...] | None) -> None:
    found = Problems()
    if steps is not None and not layout.FEWEST <= steps <= layout.MOST:
        found.add("steps", steps, f"From {layout.FEWEST} to {layout.MOST}.", "Count the exposures that were given.")
    if sense not in ("negative", "positive"):
        found.add("sense", sense, "negative or positive.", "Say whether more exposure made it darker.")
    if corners is not None and (
        len(corners) != 4 or not all(math.isfinite(v) and -0.2 <= v <= 1.2 for c in corners for v in c)
    ):
        found.add(
            "corners", corners, "Four corners in fractions of the picture.", "Drag one to each corner of the strip."
        )
    found.raise_if_any()


def _pixels(corners: tuple[Point, ...], picture: Linear) -> Floats:
    """Dragged corners in pixels, turned so that the first side is along the steps as far as can be told (the longer)."""
    import numpy as np

    return np.asarray(np.array(corners) * np.array(picture.light.shape[::-1]) - 0.5)


# --- light -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Lit:
    """How the picture was lit: its light over the table, its tone curve where one shows, what the card's patches are.

    lean, said   where the tones pass for straight: the curve that the patches would draw, and what they say of it
    """

    flat: Flat
    tone: Tone | None
    known: tuple[Known | None, ...] | None
    lean: Tone | None = None
    said: Verdict | None = None


def _light(picture: Linear, found: Found, known: tuple[Known | None, ...] | None) -> tuple[Floats, Lit]:
    """Light with flare known, or with a phone's tone curve undone where five known patches show one."""
    import numpy as np

    black, white = (known[5], known[0]) if known is not None else (None, None)
    flat = with_flare(picture.light, found, black, white)
    told = [k for k in range(6) if known is not None and known[k] is not None]
    if known is None or found.card is None or len(told) < FEWEST:
        return picture.light, Lit(flat, None, known)
    density = np.array([p.density for p in known if p is not None])
    sd = np.array([p.sd for p in known if p is not None])
    every = card_seen(picture.light, found.card, flat)
    patches = [every[k] for k in told]
    raw = np.log10(np.maximum([p.light for p in patches], 1e-5))
    at = np.array([p.at for p in patches])
    less = np.log10(np.maximum(10**raw - flat.flare, 1e-5))
    own = np.hypot(np.array([p.sd for p in patches]), flat.flare_sd) / 10**less / 2.303
    sd = np.sqrt(
        sd**2 + (np.array([p.sd for p in patches]) / 10**raw / 2.303) ** 2 + max(0.0, flat.scatter - 0.006) ** 2
    )
    if not np.isfinite(raw).all():
        return picture.light, Lit(flat, None, known)
    true = flat.log_at(at) + flat.white_log - (density - density[0])
    said = verdict(true, less, np.hypot(sd, own))
    if said.spoiled is not None:
        sd[said.spoiled] = np.hypot(sd[said.spoiled], SPOILED_SD)
        if told[said.spoiled] == 5 and not said.bent:
            flat = with_flare(picture.light, found, None, white)
    tone = fitted(true, raw if said.bent else less, sd)
    if not said.bent:
        return picture.light, Lit(flat, None, known, tone, said)
    for _ in range(2):
        flat = flat_of(tone.undone(picture.light), found)
        tone = fitted(flat.log_at(at) + flat.white_log - (density - density[0]), raw, sd)
    light = tone.undone(picture.light)
    return light, Lit(flat_of(light, found), tone, known)


def _border_burnt(picture: Linear, found: Found) -> bool:
    """Whether the border is at the end of the scale, so that nothing is left to count from."""
    import numpy as np

    high = plane.sampled(picture.high, found.corners[:, None] * 0.985 + found.corners.mean(axis=0) * 0.015)
    return bool(np.nanmean(high) > 0.5)


# --- putting together ----------------------------------------------------------------------------------


def _assembled(picture: Linear, found: Found, lit: Lit, seen: Measured, sense: Sense, photo: bool) -> StripRead:
    import numpy as np

    flat, tone, known = lit.flat, lit.tone, lit.known
    logs = [math.log10(s.level) if s.level > 0 else -5.0 for s in seen.steps]
    usable = [k for k, s in enumerate(seen.steps) if not s.rejected]
    trend = float(np.polyfit(usable, [-logs[k] for k in usable], 1)[0]) if len(usable) > 1 else 0.0
    reverse = (trend < 0) == (sense == "negative")
    reference, zero = _reference(flat, seen, known, logs, usable, sense)
    lamp_white = float(flat.log_at(found.corners.mean(axis=0))) + zero
    patches = [
        _patch(
            s,
            zero - logs[k] + reference.density,
            _polygon(found, k, picture, reverse),
            _look_sd(lit, lamp_white, zero - logs[k], photo),
        )
        for k, s in enumerate(seen.steps)
    ]
    if reverse:
        patches.reverse()
    corners = found.corners
    if reverse:
        corners = np.roll(corners, 2, axis=0)
    share = flat.flare / 10 ** (lamp_white + reference.density) if known is not None and tone is None else None
    outline = None if found.card is None else _fractions(plane.mapped(found.card, cards.card_corners()), picture)
    return StripRead(
        _monotone(patches, sense),
        _fractions(corners, picture),
        outline,
        reference,
        share,
        tone is not None,
        found.proposed,
        True,
        (),
    )


def _reference(
    flat: Flat,
    seen: Measured,
    known: tuple[Known | None, ...] | None,
    logs: list[float],
    usable: list[int],
    sense: Sense,
) -> tuple[Reference, float]:
    """What densities are counted from and its log10 level over the table."""
    if known is not None and known[0] is not None:
        return Reference("card", known[0].density, known[0].sd), flat.white_log
    if sense == "negative" and seen.border is not None and seen.border > 0:
        edge = math.log10(seen.border)
        lightest = max((logs[k] for k in usable), default=edge)
        if edge > lightest - 0.05:
            return Reference("border", 0.0, 0.0), edge
    return Reference("lightest step", 0.0, 0.0), max((logs[k] for k in usable), default=0.0)


def _look_sd(lit: Lit, lamp_white: float, above: float, photo: bool) -> float:
    """Doubt of a density from the picture's tone curve [density]; `above` the reference."""
    seen = lamp_white - above
    if lit.tone is not None:
        return lit.tone.doubt(seen)
    if (
        lit.lean is not None and lit.said is not None
    ):  # as straight as the greys show it, less the chance that it is not
        off = math.hypot(lit.lean.moves(lamp_white, seen), lit.lean.doubt(seen))
        return math.sqrt(lit.said.chance) * off
    if not photo or (lit.known is not None and sum(k is not None for k in lit.known) >= FEWEST):
        return 0.0
    return LOOK_SD * max(above, 0.0) + 0.01


def _patch(step: Step, density: float, polygon: tuple[Point, Point, Point, Point], look_sd: float) -> Patch:
    if step.rejected:
        return Patch(polygon, None, None, None, step.rejected)
    sd = math.hypot(step.sd_log, look_sd)
    if step.censored is not None:
        return Patch(polygon, density, sd, "at_least" if step.censored == "at_least" else "at_most")
    if sd > SURE_SD:
        return Patch(polygon, density - BOUND * sd, sd, "at_least")
    return Patch(polygon, density, sd, shared=(step.flare_sd,))


def _goes_back(patches: tuple[Patch, ...]) -> bool:
    """Whether densities go to and fro: more exposure does one thing to a paper, and a board of squares is no strip."""
    told = [p.density for p in patches if p.density is not None and p.censored is None]
    if len(told) < 3 or max(told) - min(told) < LEAST_RANGE:
        return False
    up = sum(max(b - a, 0.0) for a, b in itertools.pairwise(told))
    down = sum(max(a - b, 0.0) for a, b in itertools.pairwise(told))
    return min(up, down) > MOST_BACK * (max(told) - min(told))


def _monotone(patches: list[Patch], sense: Sense) -> tuple[Patch, ...]:
    """A step far out of order with both its neighbours on either side was not read right, whatever hid it."""
    sign = 1.0 if sense == "negative" else -1.0
    out = list(patches)
    told = [k for k, p in enumerate(patches) if p.density is not None and p.sd is not None and p.censored is None]
    for i, k in enumerate(told):
        p = patches[k]
        assert p.density is not None
        assert p.sd is not None
        before = [sign * (patches[j].density or 0.0) for j in told[max(0, i - 2) : i]]
        after = [sign * (patches[j].density or 0.0) for j in told[i + 1 : i + 3]]
        slack = 0.04 + 3 * p.sd
        low = min(before, default=-9.0) - slack if before else -9.0
        high = max(after, default=9.0) + slack if after else 9.0
        d = sign * p.density
        if (len(before) == 2 and d < low) or (len(after) == 2 and d > high):
            out[k] = replace(
                p, density=None, sd=None, rejected="it is out of order with its neighbours: something lies over it"
            )
    return tuple(out)


def _polygon(found: Found, k: int, picture: Linear, reverse: bool) -> tuple[Point, Point, Point, Point]:
    import numpy as np

    wide, high, matrix = frame(found.corners)
    left, top, right, bottom = found.lay.step(k)
    box = np.array(
        [
            [left * wide, top * high],
            [right * wide, top * high],
            [right * wide, bottom * high],
            [left * wide, bottom * high],
        ]
    )
    return _fractions(plane.mapped(matrix, np.roll(box, 2, axis=0) if reverse else box), picture)


def _fractions(points: Floats, picture: Linear) -> tuple[Point, Point, Point, Point]:
    high, wide = picture.light.shape
    a, b, c, d = ((float((x + 0.5) / wide), float((y + 0.5) / high)) for x, y in points)
    return a, b, c, d


def _said(card: CardSaid | None, lit: Lit, seen: Measured, steps: int | None, photo: bool) -> tuple[str, ...]:
    """What the person should know of this reading."""
    out, known, tone = [], lit.known, lit.tone
    if known is None:
        out.append(
            "No card: densities are above the strip's own white, and the flare of the lens is not known. "
            "Dark steps may be darker than they read; their doubt is wider for it."
        )
    elif card is not None and card.black is None:
        out.append(
            "The card's black was not measured: the flare of the lens is hardly known, and dark steps are less sure."
        )
    if tone is not None:
        out.append("The picture has a look of its own (a tone curve); it was undone by the card's greys.")
    elif photo and (known is None or sum(k is not None for k in known) < FEWEST):
        out.append(
            "A phone bends tones by its own taste; without five known greys that is doubt, not knowledge. A scan is better."
        )
    if lit.said is not None and lit.said.spoiled is not None:
        out.append(
            "One patch of the card agrees with none of the others: a reflection or a shadow lies on it, and it was not counted."
        )
    if seen.glare > 0:
        out.append("A reflection lies on the strip; its light was taken off, and steps under it are less sure.")
    outer = max(3, len(seen.steps) // 4)
    if any(sum(bool(x.rejected) for x in end) > 1 for end in (seen.steps[:outer], seen.steps[-outer:])):
        out.append("Several steps at one end could not be read: look whether the outline ends where the paper does.")
    if seen.ripple > 0.02:
        out.append("The light along the strip is not smooth: a shadow, or a phone that brightens locally.")
    if steps is None:
        out.append(
            "The number of steps is a proposal: steps that equal the border or each other cannot be seen. Count the exposures given."
        )
    return tuple(out)
