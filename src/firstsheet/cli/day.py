"""`day`: one day's light at one place, the sun in the lens first, then seconds for this sheet through the hours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import write_new
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.day import Day


def register(app: typer.Typer) -> None:
    act(app, "day")(day)


def day(
    here: Here,
    date: Annotated[str | None, words("Which day: “2026-06-21”; today unless said.")] = None,
    sky: Annotated[str | None, words("clear_sun, hazy_sun, bright_cloud or heavy_cloud; clear unless said.")] = None,
    place: Annotated[str | None, words("Degrees of the place, kept in this book: “52.5 N, 13.4 W”.")] = None,
    zone: Annotated[str | None, words("Its time zone, kept: “CET”, “UTC+2”.")] = None,
    faces: Annotated[str | None, words("Which way the face looks, kept: “south”, “SSW”, “225°”.")] = None,
    lens_looks: Annotated[str | None, words("Which way the lens looks, kept, where it is not straight into the face.")] = None,
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
        place=place, zone=zone, faces=faces, lens_looks=lens_looks, around=around, before_lens=before_lens, barrel=barrel, ground=ground, above_sea=above_sea
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
    from firstsheet.acts.day_words import clock, face_words, hours_of, now_words, row_words, sun_words, window_words

    lines: list[str] = []
    if d.lens:
        lines += [*wrapped(d.lens.words), *(wrapped(d.lens.caution) if d.lens.spans else []), ""]
    lines += wrapped(
        f"{d.date:%d %B %Y}, {d.place}, {d.zone}. {d.sky_words[:1].upper()}{d.sky_words[1:]}. The face looks to {d.faces}."
    )
    lines += wrapped(sun_words(d))
    lines += wrapped(face_words(d))
    if d.now:
        lines += wrapped(now_words(d))
    for w in d.windows:
        lines += wrapped(window_words(w))
    hours = hours_of(d)
    if hours:
        lines += ["", f"{d.sheet} at {wording.f_number(d.aperture)}" if d.aperture else "On the face"]
        lines += [f"  {clock(r.at)}  {row_words(r)}{', sun' if r.in_sun else ''}" for r in hours]
    for p in d.lacking:
        lines += wrapped(f"For seconds: {p.where.replace('_', ' ')}. {p.allowed} {p.hint}")
    if d.assumed:
        lines += ["", *wrapped(f"Assumed: {'; '.join(d.assumed)}.")]
    return [*lines, *[x for n in d.notes for x in wrapped(n)]]
