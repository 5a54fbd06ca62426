"""Where the chair stands, typed once: degrees, zone, which way the face looks, what stands round it. Kept in this book, nowhere else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts.door import Door, Form
from firstsheet.light import horizon, sky
from firstsheet.light import place as where
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

KEY = "day_place"
PLACE = ("place", "zone", "above_sea", "faces", "lens_looks", "around", "before_lens", "barrel", "ground")
NONE = ("none", "unknown", "not known", "forget")


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the chair stands and what is round it, as said; `zone` as kept, bearings from north through east.

    turned_deg   where the lens looks, where it was said; else the other way than the face
    before_lens  what hides the sun from the lens; None where nobody said, and then nothing does
    barrel_mm    length of the lens's barrel [mm]; None where nobody said
    """

    place: str
    latitude_deg: float
    longitude_deg: float
    zone: str
    above_sea_m: float
    faces_deg: float | None
    turned_deg: float | None
    around: str
    before_lens: str | None
    barrel_mm: float | None
    ground: str

    @property
    def spot(self) -> where.Spot:
        return where.Spot(self.latitude_deg, self.longitude_deg)

    def tz(self) -> tzinfo:
        return where.zone(self.zone)

    @property
    def things(self) -> horizon.Horizon:
        return horizon.horizon(self.around) if self.around else horizon.OPEN

    @property
    def lens_things(self) -> horizon.Horizon:
        return horizon.horizon(self.before_lens) if self.before_lens else horizon.OPEN

    @property
    def lens_looks_deg(self) -> float | None:
        """Where the lens looks: as said, or into the face; None where neither is known."""
        if self.turned_deg is not None:
            return self.turned_deg
        return None if self.faces_deg is None else (self.faces_deg + 180.0) % 360.0


def stand(reader: Reader, form: Form | None = None) -> Stand:
    """The place in the book under what this form says over it. Refuses with all that is missing or misunderstood."""
    kept = dict(reader.get_setting(KEY) or {})
    d = Door(form)
    body = kept | _heard(d)
    d.close()
    missing = []
    if "latitude_deg" not in body:
        missing.append(Refusal.one("place", "", "The degrees of the place.", where.HOW_PLACE).problems[0])
    if "zone" not in body:
        missing.append(Refusal.one("zone", "", "The time zone of its clocks.", "Try “CET” or “UTC+2”; a fixed one does not know summer time.").problems[0])  # fmt: skip
    if missing:
        raise Refusal(*missing, kind="missing")
    body.pop("said", None)
    spot = where.Spot(body["latitude_deg"], body["longitude_deg"])
    return Stand(
        where.words_of(spot), spot.latitude_deg, spot.longitude_deg, body["zone"], body.get("above_sea_m") or 0.0,
        body.get("faces_deg"), body.get("turned_deg"), body.get("around") or "", body.get("before_lens"), body.get("barrel_mm"), body.get("ground") or "grass",
    )  # fmt: skip


def say(book: Book, form: Form) -> Stand:
    """Keep what is said of the place; "none" takes a detail back. The place and its zone come first, and stay."""
    stand(book, form)  # refuses before anything is kept
    d = Door(form)
    body = dict(book.get_setting(KEY) or {}) | _heard(d)
    book.set_setting(KEY, {k: v for k, v in body.items() if v is not None})
    return stand(book)


def forget(book: Book) -> None:
    """The place leaves this book."""
    book.set_setting(KEY, {})


def known(reader: Reader) -> bool:
    return bool((reader.get_setting(KEY) or {}).get("zone"))


def _heard(d: Door) -> dict[str, Any]:
    out: dict[str, Any] = {}
    spot = d.read("place", where.spot)
    if spot is not None:
        out |= {"latitude_deg": spot.latitude_deg, "longitude_deg": spot.longitude_deg}
    zone = d.read("zone", where.zone)
    if zone is not None:
        out["zone"] = where.zone_name(zone)
    for key, kept, parse in (
        ("above_sea", "above_sea_m", _above_sea), ("faces", "faces_deg", where.bearing_deg),
        ("lens_looks", "turned_deg", where.bearing_deg), ("around", "around", _things),
        ("before_lens", "before_lens", _things), ("barrel", "barrel_mm", _barrel), ("ground", "ground", _ground),
    ):  # fmt: skip
        text = d.said(key)
        if text is not None and text.lower() in NONE:
            out[kept] = None
        elif text is not None:
            value = d.read(key, parse)
            if value is not None:
                out[kept] = value
    return out


def _above_sea(text: str) -> float:
    low = text.startswith(("-", "−"))
    metres = q.length_mm(text.lstrip("-−")) / 1000 * (-1 if low else 1)
    if not sky.LOWEST_M <= metres <= sky.HIGHEST_M:
        raise Refusal.one("", text, "From 450 m below the sea to 5000 m above it.", "Try “300 m”.")
    return metres


def _things(text: str) -> str:
    horizon.horizon(text)
    return text


def _barrel(text: str) -> float:
    mm = q.length_mm(text)
    if not 1 <= mm <= 3000:
        raise Refusal.one("", text, "From 1 mm to 3 m: front rim to the glass.", "Try “80 mm”.")
    return mm


def _ground(text: str) -> str:
    have = tables.load("daylight")["ground"]
    for key, g in have.items():
        if text.lower() in (key, g["words"]):
            return str(key)
    raise Refusal.one("", text, "One of: " + ", ".join(have) + ".", "Choose the nearest.")
