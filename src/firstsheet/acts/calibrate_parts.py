"""What is said of a strip, turned into numbers: its exposures, typed densities, the card, corners; and its picture kept."""

from __future__ import annotations

import io
import itertools
import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts.door import Door
from firstsheet.exposure.hand import HAND_SD_S
from firstsheet.refusal import Problems, Refusal
from firstsheet.strips.card import CardSaid, Known
from firstsheet.strips.make import SQRT2, TABLET_FIRST, TABLET_STEP, steps_between

if TYPE_CHECKING:
    from firstsheet.paper.curve import StepSeen
    from firstsheet.strips.decode import Linear
    from firstsheet.strips.read import Point

Quad = tuple[tuple[float, float], ...]
Read = tuple[float, float, str | None, tuple[float, ...]]  # density, its own doubt, which side, the doubts it shares
LEAST_SD = 0.003  # of a step read from a picture [density]
MOST = 40
LUX_SD_STOPS = 0.10  # one reading of lux beside the next, the meter itself apart; common practice, no source
TABLET_SD = 0.02  # a step of a tablet against its nominal density [density]; judgement
TYPED_SD = 0.02  # of a density typed in without one of its own [density]; a careful reading
_UNIT = r"(?:lx\s*[·.*]?\s*s|lux[ -]?seconds?|min(?:utes?)?|seconds?|secs?|s)"
_NUMBER = r"(?:\d+\s*/\s*\d+|\d+(?:[.,]\d+)?|[.,]\d+)"
_SAY = "Try “1 2 4 8 s at 12 lx on the board”, “first 0.5 lx·s, steps of √2” or “tablet 8 s at 12 lx”."


@dataclass(frozen=True, slots=True)
class Exposures:
    """What each step got, least first.

    lxs       exposures [lx·s], or relative to the first where `absolute` is False
    own_sd    doubt of each one's log10 that it does not share [log10]
    times_s   how long each was exposed [s]; None where that was not said
    """

    lxs: tuple[float, ...]
    own_sd: tuple[float, ...]
    absolute: bool
    times_s: tuple[float, ...] | None


def factor(text: str) -> float:
    """Exposure from step to step: "√2", "2", "1/2 stop", "half a stop", "a stop"."""
    plain = text.strip().lower().replace(" ", "")
    named = {
        "√2": SQRT2,
        "sqrt2": SQRT2,
        "root2": SQRT2,
        "√2×": SQRT2,
        "halfastop": SQRT2,
        "astop": 2.0,
        "onestop": 2.0,
    }
    if plain in named:
        return named[plain]
    stops = re.fullmatch(rf"({_NUMBER}|[½⅓¼])(?:of)?a?stops?", plain)
    found = 2.0 ** q.stops(stops[1]) if stops else q.plain_number(text, 1.0, 4.0)
    if not 1.02 <= found <= 4.0:
        raise Refusal.one("", text, "A factor above 1, up to 4.", "√2 is half a stop, 2 a stop.")
    return found


def exposures(text: str, steps: int, tablet: str | None, by_hand: bool) -> Exposures:
    """The exposures of `steps` steps as said; with 0, of steps not known yet, they are only read. `tablet` are the tablet's own densities, where they are known.

    Forms: "1 s 2 s 4 s at 12 lx" (whole time of each step; lux once, at both ends and the middle, or for each step),
    "0.5 1 2 lx·s", "first 0.5 lx·s, steps of √2", "first 1 s at 12 lx, steps of 2", "tablet 8 s at 12 lx", "steps of √2".
    """
    plain = " ".join(text.lower().replace("×", " x ").split())
    plain = re.sub(r"\bon the board\b|\bat the board\b|\bon the paper\b", "", plain)
    by = re.search(r",?\s*(?:in )?(?:steps? of|each)\s+([^,;]+?)(?=\s+(?:at|first|from)\b|[,;]|$)", plain)
    pace = factor(by[1]) if by else None
    rest = (plain[: by.start()] + " " + plain[by.end() :]).strip(" ,;") if by else plain
    at = re.search(rf"\bat\s+((?:{_NUMBER}[\s,;]*(?:lx|lux)?[\s,;]*)+)$", rest)
    lux = _lux(at[1], steps, text) if at else None
    head = (rest[: at.start()] if at else rest).strip(" ,;:")
    if head.startswith("tablet") or tablet:
        return _tablet(head.removeprefix("tablet").strip(" ,:"), lux, tablet, steps, text)
    head = re.sub(r"^(?:first|from)\b", "", head).strip()
    if not head and pace is not None:
        return Exposures(tuple(pace**k for k in range(steps)), (0.0,) * steps, False, None)
    values, unit = _list(head, text)
    if pace is not None:
        if len(values) != 1:
            raise Refusal.one("", text, "The first exposure and the step, or every exposure.", _SAY)
        values = [values[0] * pace**k for k in range(steps or 1)]
    return _given(values, unit, lux, steps, text, by_hand)


def _given(
    values: list[float], unit: str, lux: tuple[float, ...] | None, steps: int, text: str, by_hand: bool
) -> Exposures:
    if steps and len(values) != steps:
        raise Refusal.one("", f"{len(values)} exposure{'' if len(values) == 1 else 's'}", f"{steps}, one for each step.",
                          "Say every step’s whole exposure, or how many steps there are.")  # fmt: skip
    steps = len(values)
    values = sorted(values)
    if any(b < 1.02 * a for a, b in itertools.pairwise(values)):
        raise Refusal.one("", text, "Each step’s whole exposure more than the one before.", _SAY)
    if unit == "lx·s":
        if lux:
            raise Refusal.one("", text, "Seconds at some lux, or lux-seconds.", _SAY)
        return Exposures(tuple(values), (0.0,) * steps, True, None)
    own = tuple(math.log10(1.0 + HAND_SD_S / t) if by_hand else 0.0 for t in values)
    level = lux if lux and len(lux) == steps else (1.0,) * steps
    lxs = tuple(t * e for t, e in zip(values, level, strict=True))
    return Exposures(lxs, own, lux is not None, tuple(values))


def _tablet(head: str, lux: tuple[float, ...] | None, tablet: str | None, steps: int, text: str) -> Exposures:
    densities = sorted(numbers(tablet, 0.0, 6.0)) if tablet else [TABLET_FIRST + TABLET_STEP * k for k in range(steps)]
    if steps and len(densities) != steps:
        raise Refusal.one(
            "tablet", _counted(len(densities)), f"{steps}, one for each step.", "As on the tablet’s own sheet."
        )
    values, unit = _list(head, text) if head else ([1.0], "")
    if len(values) != 1 or len(set(lux or (1.0,))) != 1:
        raise Refusal.one("", text, "One exposure for the whole tablet, one lux.", "Try “tablet 8 s at 12 lx”.")
    level = values[0] * (lux[0] if lux and unit == "s" else 1.0)
    known = unit == "lx·s" or (unit == "s" and lux is not None)
    lxs = tuple(level * 10.0**-d for d in reversed(densities))
    times = (values[0],) * steps if unit == "s" else None
    return Exposures(lxs, (0.005 if tablet else TABLET_SD,) * steps, known, times)


def _list(head: str, text: str) -> tuple[list[float], str]:
    """Numbers and their one unit: "s" or "lx·s"."""
    found = re.findall(rf"({_NUMBER})\s*({_UNIT}(?![a-z]))?", head)
    left = re.sub(rf"({_NUMBER})\s*({_UNIT}(?![a-z]))?", "", head).strip(" ,;")
    if not found or left:
        raise Refusal.one("", text, "What each step got.", _SAY)
    units = [_unit(u) for _, u in found]
    last = units[-1]
    if not last or len({u for u in units if u} | {last}) != 1:
        raise Refusal.one("", text, "One unit for all: s, or lx·s.", _SAY)
    values = [q.plain_number(n.replace(" ", ""), 1e-6, 1e7) for n, _ in found]
    return [60.0 * v for v in values] if last == "min" else values, "s" if last == "min" else last


def _unit(said: str) -> str:
    return "" if not said else "lx·s" if said.startswith(("lx", "lux")) else "min" if said.startswith("min") else "s"


def _lux(said: str, steps: int, text: str) -> tuple[float, ...]:
    found = [q.plain_number(n.replace(" ", ""), 1e-4, 1e6) for n in re.findall(_NUMBER, said)]
    if "lx" not in said and "lux" not in said:
        raise Refusal.one("", text, "Lux at the strip.", _SAY)
    if len(found) == 1:
        return (found[0],) * (steps or 1)
    if not steps:
        return tuple(found)
    if len(found) == 3 and steps != 3:
        return steps_between((found[0], found[1], found[2]), steps)
    if len(found) == steps:
        return tuple(found)
    raise Refusal.one(
        "", text, f"One lux, three (both ends and the middle between them), or {steps}.", "Least exposed end first."
    )


def numbers(text: str, low: float, high: float) -> list[float]:
    """Figures parted by blanks or semicolons, or by commas followed by a blank."""
    parts = [p for p in re.split(r"[\s;]+|,\s+", text.strip()) if p]
    return [q.plain_number(p.strip(","), low, high) for p in parts]


def typed(text: str, sd: float, problems: Problems) -> list[Read]:
    """Densities typed in, least exposed step first: "0.08 0.12 … >2.0"; ">" and "<" where the instrument ran out."""
    out: list[Read] = []
    said = [p for p in re.split(r"[\s;]+|,\s+", text.strip()) if p]
    for part in said:
        side = {">": "at_least", "<": "at_most"}.get(part[0].replace("≥", ">").replace("≤", "<"))
        with problems.at("densities"):
            out.append((q.plain_number(part.lstrip("<>≤≥").strip(","), -0.2, 6.0), sd, side, ()))
    if not 5 <= len(said) <= MOST:
        problems.add("densities", _counted(len(said)), f"From 5 to {MOST}.", "One for each step, least exposed first.")
    return out


def _counted(densities: int) -> str:
    return "1 density" if densities == 1 else f"{densities} densities"


def read_off(density: float, sd: float | None, side: str | None, shared: tuple[float, ...]) -> Read:
    """A step of a picture: what it shares with the others is taken out of its own doubt."""
    own = math.sqrt(max((sd or 0.0) ** 2 - sum(x * x for x in shared), 0.0))
    return density, max(own, LEAST_SD), side, shared


def steps_of(densities: list[Read], given: Exposures, places: list[int]) -> list[StepSeen]:
    """Steps for the fit: `places` says which exposure each density belongs to."""
    from firstsheet.paper.curve import StepSeen

    return [
        StepSeen(math.log10(given.lxs[k]), d, sd, given.own_sd[k], side, shared)  # type: ignore[arg-type]
        for (d, sd, side, shared), k in zip(densities, places, strict=True)
    ]


def corners(text: str) -> Quad:
    """Four corners as fractions of the picture: "0.1,0.2 0.9,0.2 0.9,0.8 0.1,0.8", in order round the strip."""
    found = [float(x) for x in re.findall(r"-?\d*\.?\d+", text)]
    if len(found) != 8 or re.sub(r"[-\d.,;\s]", "", text) or not all(-0.2 <= x <= 1.2 for x in found):
        raise Refusal.one(
            "",
            text,
            "Four corners, each “across,down” from 0 to 1.",
            "Begin at one end of the first step and go round the strip.",
        )
    quad = tuple((found[i], found[i + 1]) for i in (0, 2, 4, 6))
    if not _is_outline(quad):
        raise Refusal.one(
            "",
            text,
            "Four corners apart from each other, in order round the strip.",
            "Begin at one end of the first step.",
        )
    return quad


def _is_outline(quad: Quad, least_share: float = 0.002) -> bool:
    """Whether four corners go round once without crossing, and hold at least this share of the picture."""
    turns = []
    for i in range(4):
        (ax, ay), (bx, by), (cx, cy) = quad[i], quad[(i + 1) % 4], quad[(i + 2) % 4]
        turns.append((bx - ax) * (cy - by) - (by - ay) * (cx - bx))
    return (min(turns) > 0 or max(turns) < 0) and abs(sum(turns)) / 4.0 >= least_share


def card(d: Door) -> CardSaid | None:
    """What the form says of the printed card: card "yes"/"no" and its measured patches."""
    there = d.flag("card")
    white = d.read("card_white", lambda t: q.plain_number(t, 0.0, 0.5))
    black = d.read("card_black", lambda t: q.plain_number(t, 0.0, 3.5))
    greys = d.read("card_greys", lambda t: numbers(t, 0.0, 3.5))
    sd = d.read("card_sd", lambda t: q.plain_number(t, 0.005, 0.3))
    if greys is not None and len(greys) != 4:
        d.problems.add(
            "card_greys",
            d.said("card_greys"),
            "Four densities, light to dark.",
            "Leave it out if they were not measured.",
        )
        return None
    if not there and white is None and black is None and greys is None:
        return None
    known = [Known(g, sd or 0.02) for g in greys] if greys else [None] * 4
    white_known = Known(white, sd or 0.01) if white is not None else None
    black_known = Known(black, sd or 0.02) if black is not None else None
    said = CardSaid(white_known, black_known, (known[0], known[1], known[2], known[3]))
    with d.problems.at(""):
        said.patches()
    return said


def card_body(said: CardSaid | None) -> dict[str, Any] | None:
    """As kept with the reading."""
    if said is None:
        return None
    one = [None if k is None else [k.density, k.sd] for k in (said.white, said.black, *said.greys)]
    return {"white": one[0], "black": one[1], "greys": one[2:]}


def card_from(body: dict[str, Any] | None) -> CardSaid | None:
    if body is None:
        return None
    w, b, *g = [None if k is None else Known(*k) for k in (body["white"], body["black"], *body["greys"])]
    return CardSaid(w, b, (g[0], g[1], g[2], g[3]))


# ── the picture ──


@dataclass(frozen=True, slots=True)
class KeptPicture:
    """shown     upright JPEG of at most 2000 px for people
    measured  grey PNG of 16 bits, upright, for reading again; no position data, no other data
    size      of the shown one [px]
    bits      of the file that came, 8 or 16
    """

    shown: bytes
    measured: bytes
    size: tuple[int, int]
    orientation: int
    camera: bool
    bits: int


def kept_picture(data: bytes) -> KeptPicture:
    """Both pictures of one file. Refusal for what is no picture."""
    from firstsheet.strips.decode import linear

    seen = linear(data)
    turn = _orientation(data)
    shown, size = _shown(data, seen, turn)
    return KeptPicture(shown, _grey16(seen, turn), size, turn, seen.camera, seen.bits)


def _orientation(data: bytes) -> int:
    """The EXIF orientation of a file whose decoder does not turn it (a HEIF decoder does)."""
    from PIL import Image

    if data[4:8] == b"ftyp":
        return 1
    try:
        with Image.open(io.BytesIO(data)) as picture:
            said = picture.getexif().get(0x0112, 1)
    except Exception:  # decoders promise no kind of error; the file itself was read already
        return 1
    return said if isinstance(said, int) and 1 <= said <= 8 else 1


def _codes16(seen: Linear) -> Any:
    import numpy as np

    y = np.clip(seen.light, 0.0, 1.0)
    code = np.where(y <= 0.0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - 0.055)  # [IEC-61966-2-1]
    out = np.round(65535 * code)
    out[seen.high >= 0.5] = 65535
    out[seen.low >= 0.5] = 0
    return out.astype(np.uint16)


def _turned(codes: Any, turn: int) -> Any:
    import numpy as np

    ways = {2: lambda a: a[:, ::-1], 3: lambda a: a[::-1, ::-1], 4: lambda a: a[::-1], 5: lambda a: a.T,
            6: lambda a: np.rot90(a, -1), 7: lambda a: a.T[::-1, ::-1], 8: lambda a: np.rot90(a)}  # fmt: skip
    return np.ascontiguousarray(ways[turn](codes) if turn in ways else codes)


def _grey16(seen: Linear, turn: int) -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(_turned(_codes16(seen), turn)).save(out, "PNG")
    return out.getvalue()


def _shown(data: bytes, seen: Linear, turn: int) -> tuple[bytes, tuple[int, int]]:
    """In colour where the photo door takes the file, else grey from what was measured."""
    from firstsheet.light.photo import receive

    if seen.bits == 8:
        try:
            got = receive(data)
            return got.kept_jpeg, (got.width, got.height)
        except Refusal:
            pass
    from PIL import Image

    grey = Image.fromarray(_turned((_codes16(seen) >> 8).astype("uint8"), turn))
    grey.thumbnail((2000, 2000))
    out = io.BytesIO()
    grey.save(out, "JPEG", quality=93)
    return out.getvalue(), grey.size


def upright(point: Point, turn: int) -> Point:
    """A place in the file as stored to the picture as shown, both in fractions."""
    x, y = point
    return {
        2: (1 - x, y),
        3: (1 - x, 1 - y),
        4: (x, 1 - y),
        5: (y, x),
        6: (1 - y, x),
        7: (1 - y, 1 - x),
        8: (y, 1 - x),
    }.get(turn, (x, y))


def turned_quad(points: Quad, turn: int) -> Quad:
    return tuple(upright((x, y), turn) for x, y in points)


def lights() -> dict[str, str]:
    return {k: str(v["words"]) for k, v in tables.load("lights").items()}
