"""A reading as said (or a spot touched on a photograph), kept so that its age and its meter stay with it."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet.light import words as light_words
from firstsheet.light.reading import Reading
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader

HOW = {
    "incident": "incident_flat", "incident_flat": "incident_flat", "incident_dome": "incident_dome", "dome": "incident_dome",
    "reflected": "reflected", "board": "board",
}  # fmt: skip
PLAIN_METER = {
    "lux": ("lux meter", "lux"),
    "board": ("lux meter", "lux"),
    "photo": ("phone", "phone"),
    "word": ("sky", "sky"),
}


@dataclass(frozen=True, slots=True)
class Kept:
    """A reading with its number in the book (None until it is kept), the words it was said in and the meter's kind."""

    reading: Reading
    said: str
    meter_kind: str
    id: int | None = None

    def body(self) -> dict[str, Any]:
        r = {f.name: getattr(self.reading, f.name) for f in fields(self.reading)}
        taken = r["taken_wall"]
        r["taken_wall"] = taken.isoformat() if taken else None
        return {
            "reading": {k: v for k, v in r.items() if v is not None},
            "said": self.said,
            "meter_kind": self.meter_kind,
        }


def from_row(row: dict[str, Any]) -> Kept:
    body = row["body"]
    r = dict(body["reading"])
    if r.get("taken_wall"):
        r["taken_wall"] = datetime.fromisoformat(r["taken_wall"])
    return Kept(Reading(**r), body["said"], body["meter_kind"], row["id"])


def parse(text: str, how: str | None, tone: str | None, meter: tuple[str, str] | None, taken: datetime) -> list[Kept]:
    """One or several readings: “EV 11”, “EV 11 on face_light; EV 13.3 on white_shirt”, “12 lx on the board”, “open shade”.

    how    one of HOW; None means incident at the face, or reflected where a tone or cd/m² is named
    tone   what the readings were taken of, where a reading does not name its own
    meter  (name, kind) of the meter in hand; a lux meter, a phone or the sky speak for themselves
    """
    problems = Problems()
    out: list[Kept] = []
    parts = [p.strip() for p in text.split(";") if p.strip()]
    for i, part in enumerate(parts or [text]):
        with problems.at("reading" if len(parts) < 2 else f"reading.{i + 1}"):
            out.append(_one(part, how, tone, meter, taken))
    if len({k.reading.kind == "board" for k in out}) > 1:
        problems.add(
            "reading", text, "Readings on the board and readings outside are not mixed.", "Give one or the other."
        )
    problems.raise_if_any()
    return out


def _one(part: str, how: str | None, tone: str | None, meter: tuple[str, str] | None, taken: datetime) -> Kept:
    figure, tone, on_board = _figure_and_tone(part, tone)
    said = q.light_reading(figure)
    way = (
        "board"
        if on_board
        else HOW[how]
        if how
        else "reflected"
        if tone or said.kind == "luminance"
        else "incident_flat"
    )
    if said.kind == "word":
        light_words.sky(said.word or "")
        name, kind = PLAIN_METER["word"]
        return Kept(Reading(kind="word", word=said.word, meter=name, taken_wall=taken, place="the sky"), part, kind)
    if way == "board":
        if said.kind != "lux":
            raise Refusal.one(
                "reading", part, "Lux, read on the board.", "A lux meter flat on the board, where the face falls."
            )
        name, kind = meter or PLAIN_METER["board"]
        return Kept(
            Reading(
                kind="board",
                lux_lx=said.lux_lx,
                tone=tone or "grey_card",
                meter=name,
                taken_wall=taken,
                place="on the board",
            ),
            part,
            kind,
        )
    name, kind = meter or PLAIN_METER.get(said.kind, ("meter", "hand"))
    incident = way.startswith("incident")
    if incident and said.kind == "luminance":
        raise Refusal.one("how", how, "cd/m² is light coming from a tone.", "Say reflected, and name the tone.")
    if not incident and said.kind == "lux":
        raise Refusal.one("how", how or "on a tone", "Lux is light falling on something.", "Say incident, or board.")
    place = "at the face" if incident else "from the camera"
    on = "grey_card" if incident else tone or "grey_card"
    reading = Reading.from_said(said, way, on, meter=name, taken_wall=taken, place=place)  # type: ignore[arg-type]
    return Kept(reading, part, kind)


def _figure_and_tone(part: str, tone: str | None) -> tuple[str, str | None, bool]:
    """Figure, tone key and whether it was read on the board, from “12 lx on the board on face_light”."""
    figure, *places = re.split(r"\s+on\s+(?:the\s+|a\s+|an\s+)?", part, flags=re.IGNORECASE)
    if not any(c.isdigit() for c in figure):
        return part, None, False  # words for a sky may hold an “on” of their own
    board = [p for p in places if p.lower() == "board"]
    tones = [p for p in places if p.lower() != "board"] or ([tone] if tone else [])
    if len(tones) > 1 or len(board) > 1:
        raise Refusal.one("reading", part, "A figure and the one tone it was read on.", "Try “EV 11 on face_light”.")
    return figure, light_words.tone(tones[0]).key if tones else None, bool(board)


def of_phrase(reader: Reader, ids: list[int]) -> list[Kept]:
    return [from_row(reader.get_reading(i)) for i in ids]


def photo(luminance_cdm2: float, sd_stops: float, tone: str, meter: str, taken: datetime) -> Kept:
    """A spot of a photograph as a reflected reading on a tone [cd/m²]."""
    key = light_words.tone(tone).key
    reading = Reading(
        kind="photo", how="reflected", tone=key, luminance_cdm2=luminance_cdm2, sd_stops=sd_stops, meter=meter,
        taken_wall=taken, place="in the photo",
    )  # fmt: skip
    return Kept(reading, f"{luminance_cdm2:.3g} cd/m² in the photo", "phone")


def numbered(kept: Kept, reading_id: int) -> Kept:
    return replace(kept, id=reading_id)
