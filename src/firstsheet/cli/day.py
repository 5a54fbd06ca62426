"""`day`: one day's light at one place, the sun in the lens first, then seconds for this sheet through the hours."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import write_new
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.day import Day, Row
    from firstsheet.acts.day_sun import Span


def register(app: typer.Typer) -> None:
    act(app, "day")(day)


def day(
    here: Here,
    date: Annotated[str | None, words("Which day: “2026-06-21”; today unless said.")] = None,
    sky: Annotated[str | None, words("clear_sun, hazy_sun, bright_cloud or heavy_cloud; clear unless said.")] = None,
    place: Annotated[str | None, words("Degrees of the place, kept in this book: “52.5 N, 13.4 W”.")] = None,
    zone: Annotated[str | None, words("Its time zone, kept: “CET”, “UTC+2”.")] = None,
    faces: Annotated[str | None, words("Which way the face looks, kept: “south”, “SSW”, “225°”.")] = None,
    around: Annotated[str | None, words("What stands round the chair, kept: “wall from E to S, 12 paces, 3 m high; trees from 200° to 260°, 15° high”.")] = None,
    before_lens: Annotated[str | None, words("The same for what hides the sun from the lens, kept.")] = None,
    barrel: Annotated[str | None, words("The lens’s barrel, rim to glass, kept: “80 mm”.")] = None,
    ground: Annotated[str | None, words("What lies before the chair, kept: grass, stone, sand, snow, dark.")] = None,
    above_sea: Annotated[str | None, words("Height above the sea, kept: “300 m”.")] = None,
    subject: Annotated[str | None, words("Lens to the sitter’s eyes: “3 m”.")] = None,
    aperture: Annotated[str | None, words("“f/11”; “any” to let it choose.")] = None,
    drawing: Annotated[str | None, words("Also draw the day into this file.", "FILE.svg")] = None,
    forget: Annotated[bool, typer.Option("--forget", help="Take the place out of this book.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """The light of a day: when the sun can enter the lens, sun or shade on the face, seconds for this sheet, when to sit."""
    from firstsheet.acts import day as days
    from firstsheet.acts import day_place

    if forget:
        with here.writing() as book:
            day_place.forget(book)
        return Shown({"place": None}, ["The place is out of this book."])
    said = form(
        place=place, zone=zone, faces=faces, around=around, before_lens=before_lens, barrel=barrel, ground=ground, above_sea=above_sea
    )  # fmt: skip
    asked = form(date=date, sky=sky, subject=subject, aperture=aperture)
    if said:
        with here.writing() as book, book.begin():
            day_place.say(book, said)
            found = days.day(book, asked)
    else:
        with here.reading() as reader:
            found = days.day(reader, asked)
    lines = of_day(found)
    if drawing:
        from firstsheet.acts.day_drawing import drawing as drawn

        write_new(drawing, drawn(found).encode())
        lines.append(f"Drawn into {drawing}.")
    return Shown(found, lines)


def of_day(d: Day) -> list[str]:
    """The sun in the lens, the sun's hours, the best light, hour by hour, and what it rests on."""
    lines: list[str] = []
    if d.lens:
        lines += [*wrapped(d.lens.words), *(wrapped(d.lens.caution) if d.lens.spans else []), ""]
    lines += wrapped(f"{d.date:%d %B %Y}, {d.place}, {d.zone}. {d.sky_words}. The face looks to {d.faces}.")
    lines += wrapped(sun_words(d))
    lines += wrapped(f"Sun on the face: {spans(d.sun_on_face)}." if d.sun_on_face else "No sun on the face.")
    if d.now:
        lines += wrapped(now_words(d))
    for w in d.windows:
        lines += wrapped(f"{window_words(w.which)} {clock(w.span.start)} to {clock(w.span.end)}, {'in sun' if w.in_sun else 'no sun on the face'}: {row_words(w.middle)}.")  # fmt: skip
    hours = [r for r in d.course if r.at.minute == 0 and r.face_lx >= 1.0]
    if hours:
        lines += ["", f"{d.sheet} at {wording.f_number(d.aperture)}" if d.aperture else "On the face"]
        lines += [f"  {clock(r.at)}  {row_words(r)}{', sun' if r.in_sun else ''}" for r in hours]
    for p in d.lacking:
        lines += wrapped(f"For seconds: {p.where.replace('_', ' ')}. {p.allowed} {p.hint}")
    if d.assumed:
        lines += ["", *wrapped(f"Assumed: {'; '.join(d.assumed)}.")]
    return [*lines, *[x for n in d.notes for x in wrapped(n)]]


def sun_words(d: Day) -> str:
    if d.all_day:
        return "The sun does not set." if d.all_day == "up" else "The sun does not rise."
    up = f"Sunrise {clock(d.rise)}" if d.rise else "No sunrise"
    down = f"sunset {clock(d.set)}" if d.set else "no sunset"
    return f"{up}, {down} on a level horizon; highest {clock(d.highest.at)}, {d.highest.height_deg:.0f}° up."


def now_words(d: Day) -> str:
    assert d.now is not None
    half = f"; half of this light in {wording.seconds(d.half_in_s)}" if d.half_in_s else ""
    return f"Now, {clock(d.now.at)}: {row_words(d.now)}{half}."


def window_words(which: str) -> str:
    return "Most light" if which == "brightest" else "Steadiest"


def row_words(r: Row) -> str:
    lux = wording.lux(r.face_lx)
    if r.time_s is None or r.range50_s is None:
        return lux
    low, high = r.range50_s
    return f"{wording.seconds(r.time_s)} ({wording.seconds(low)} to {wording.seconds(high)}), {lux}"


def spans(found: tuple[Span, ...]) -> str:
    return ", ".join(f"{clock(s.start)} to {clock(s.end)}" for s in found)


def clock(at: datetime | None) -> str:
    return "" if at is None else f"{at:%H:%M}"
