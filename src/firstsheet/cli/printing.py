"""`contact`: the seconds of a contact print, its lamp, its negative. `counting`: a person's own second."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.contact import Contact

Name = Annotated[str | None, words("What to call it.")]
Box = Annotated[str | None, words("Which box of paper; today's unless said.")]
Developer = Annotated[str | None, words("Which developer; today's unless said.")]


def register(app: typer.Typer) -> None:
    group = typer.Typer(
        rich_markup_mode=None,
        help="A contact print: a lamp known by one strip, a negative by what passes through it, and the seconds.",
    )
    app.add_typer(group, name="contact")
    for name, body in (("lamp", lamp), ("negative", negative), ("print", printed), ("positive", positive)):
        act(group, name)(body)
    act(app, "counting")(counting)


def lamp(
    here: Here,
    name: Name = None,
    kind: Annotated[str | None, words("point (bare bulb, phone), flat (diffuse), beam (torch).")] = None,
    height: Annotated[str | None, words("Lamp to sheet: “1.5 m”.")] = None,
    times: Annotated[str | None, words("Each step's whole exposure: “2 4 8 16 32 s”.")] = None,
    black: Annotated[str | None, words("The first step as black as the next, from 1.")] = None,
    over: Annotated[str | None, words("Density by transmission of what lay over the strip; nothing unless said.")] = None,
    across: Annotated[str | None, words("How wide a flat lamp is.")] = None,
    corner: Annotated[str | None, words("Measured: how much less the corner gets, in stops.")] = None,
    corner_at: Annotated[str | None, words("How far that was from the middle.")] = None,
    power: Annotated[str | None, words("battery or mains.")] = None,
    glass: Annotated[str | None, words("yes where glass lay over the strip.")] = None,
    box: Box = None,
    developer: Developer = None,
) -> Shown:  # fmt: skip
    """Keep a lamp by one test strip."""
    from firstsheet.acts import contact_kept

    said = form(name=name, kind=kind, height=height, times=times, black=black, over=over, across=across, corner=corner, corner_at=corner_at, power=power, glass=glass, box=box, developer=developer)  # fmt: skip
    with here.writing() as book:
        k = contact_kept.lamp(book, said)
    return Shown(k, [x for p in (*k.cautions, k.words) for x in wrapped(p)])


def negative(
    here: Here,
    name: Name = None,
    clear: Annotated[
        str | None, words("Clearest tone: “0.60”, “850 lx” behind it, or “0.40 looked at, box D”.")
    ] = None,
    dense: Annotated[str | None, words("Densest tone, the same way; in a photo, the densest place: “0.3,0.2”.")] = None,
    bare: Annotated[str | None, words("The lamp alone: “3400 lx”, “EV 11”; in a photo, places with nothing over the light: “0.05,0.5 0.95,0.5”.")] = None,
    state: Annotated[str | None, words("dry or wet; dry unless said.")] = None,
    photo: Annotated[str | None, words("A photo of it on a light, bare light beside it.", "FILE")] = None,
    thin: Annotated[str | None, words("In the photo: the clearest place that must hold.", "X,Y")] = None,
    corners: Annotated[str | None, words("In the photo: the picture’s corners, from top left clockwise: “0.1,0.1 0.9,0.1 0.9,0.9 0.1,0.9”.")] = None,
    opaque: Annotated[str | None, words("In the photo: a coin or black card on the light.", "X,Y")] = None,
    bare_photo: Annotated[str | None, words("A photo of the bare light alone, the phone in the same place.", "FILE")] = None,
    side: Annotated[str | None, words("What lay toward the camera: emulsion or back; emulsion unless said.")] = None,
    size: Annotated[str | None, words("Size of the sheet, for a photo taken askew and the grain of its base: “12x16 in”.")] = None,
) -> Shown:  # fmt: skip
    """Keep a negative by what passes through it: readings behind it, or a photo of it on a light."""
    from firstsheet.acts import contact_kept

    if photo is None:
        with here.writing() as book:
            n = contact_kept.negative(book, form(name=name, clear=clear, dense=dense, bare=bare, state=state, bare_photo=bare_photo, opaque=opaque, thin=thin, corners=corners, side=side, size=size))
        return Shown(n, wrapped(n.words))
    from firstsheet.acts import contact_photo
    from firstsheet.cli.files import read_file

    said = form(name=name, state=state, side=side, bare=bare, thin=thin, dense=dense, corners=corners, opaque=opaque, size=size, clear=clear)
    data, alone = read_file(photo, "photo"), read_file(bare_photo, "bare_photo") if bare_photo else None
    with here.writing() as book, book.begin():
        if alone is not None:
            said["bare_photo"] = str(contact_photo.take_in(book, alone))
        number = contact_photo.take_in(book, data)
        n = contact_photo.keep(book, number, said)
        notes = contact_photo.look(book, number, contact_photo.touched(said)).notes
    return Shown(n, [x for p in (n.words, *notes) for x in wrapped(p)])


def positive(
    here: Here,
    negative: Annotated[str | None, words("Which negative, kept from a photo with its corners; the only one unless said.")] = None,
    range: Annotated[str | None, words("The paper's range: “R 110”; its own curve unless said.")] = None,
    grade: Annotated[str | None, words("Or its grade, 0 to 5.")] = None,
    first: Annotated[str | None, words("shadows or highlights; shadows unless said.")] = None,
    stops: Annotated[str | None, words("More or less than that: “0.5”, “-1”.")] = None,
    give: Annotated[str | None, words("Or seconds under a lamp: “12 s”.")] = None,
    lamp: Annotated[str | None, words("Which lamp; the only one unless said.")] = None,
    height: Annotated[str | None, words("Lamp to sheet; the strip's unless said.")] = None,
    facing: Annotated[str | None, words("together (emulsion to emulsion) or apart; together unless said.")] = None,
    drawing: Annotated[str | None, words("Draw it into this file.", "FILE.jpg")] = None,
    outline: Annotated[bool, typer.Option("--outline", help="Outline what is dead black and blown white.")] = False,
) -> Shown:  # fmt: skip
    """What a photographed negative's print could be: its positive through this paper's curve."""
    from firstsheet.acts import contact_positive
    from firstsheet.cli.files import write_new

    said = form(negative=negative, range=range, grade=grade, first=first, stops=stops, give=give, lamp=lamp, height=height, facing=facing)
    with here.writing() as book:  # a reader has no pictures
        p = contact_positive.positive(book, said)
        if drawing:
            write_new(drawing, contact_positive.drawn(book, said | ({"outline": "yes"} if outline else {})))
    return Shown(p, [x for t in (p.words, *p.notes, *([f"Drawn into {drawing}."] if drawing else [])) for x in wrapped(t)])


def printed(
    here: Here,
    lamp: Annotated[str | None, words("Which lamp; the only one unless said.")] = None,
    negative: Annotated[str | None, words("Which negative; the only one unless said.")] = None,
    height: Annotated[str | None, words("Lamp to sheet tonight; the strip's unless said.")] = None,
    range: Annotated[str | None, words("The paper's range: “R 110”.")] = None,
    grade: Annotated[str | None, words("Or its grade, 0 to 5.")] = None,
    first: Annotated[str | None, words("shadows or highlights; shadows unless said.")] = None,
    sheet: Annotated[str | None, words("Its size, for the corners: “12x16 in”.")] = None,
    facing: Annotated[str | None, words("together (emulsion to emulsion) or apart.")] = None,
    glass: Annotated[str | None, words("yes or no.")] = None,
    back_print: Annotated[str | None, words("The maker's name on the negative's back: yes or no.")] = None,
    state: Annotated[str | None, words("The negative tonight: dry or wet.")] = None,
    judged: Annotated[str | None, words("How the strip was judged: dry or wet.")] = None,
    box: Box = None,
    developer: Developer = None,
    plan: Annotated[bool, typer.Option("--plan", help="Make it the plan, for “expose” to keep.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """Seconds, grade and strip for tonight's height and paper."""
    from firstsheet.acts import contact

    said = form(lamp=lamp, negative=negative, height=height, range=range, grade=grade, first=first, sheet=sheet, facing=facing, glass=glass, back_print=back_print, state=state, judged=judged, box=box, developer=developer)  # fmt: skip
    if plan:
        from firstsheet.acts import contact_plan
        from firstsheet.cli import lines

        with here.writing() as book:
            planned = contact_plan.say(book, said)
        return Shown(planned, lines.of_plan(planned))
    with here.reading() as reader:
        c = contact.contact(reader, said)
    return Shown(c, of_contact(c))


def of_contact(c: Contact) -> list[str]:
    """Caution, answer, strip, sides, then what it rests on."""
    strip = " · ".join(wording.seconds(t) for t in c.strip_s)
    parts = (
        *c.cautions, c.says, f"Strip first, {wording.stops_apart(c.pace_stops)} from step to step: {strip}.",
        c.counted, c.sides, *c.notes,
    )  # fmt: skip
    return [x for p in parts for x in wrapped(p)]


def counting(
    here: Here, took: Annotated[str | None, words("What ten counts aloud took: “9.4 s; 9.8 s; 9.1 s”.")] = None
) -> Shown:
    """Your own second, and what a count is worth."""
    from firstsheet.acts import counting as countings

    if took is None:
        with here.reading() as reader:
            c = countings.counting(reader)
    else:
        with here.writing() as book:
            c = countings.measure(book, form(took=took))
    lines = [
        *wrapped(c.says),
        *(f"{wording.seconds(a.time_s)}: {a.counts} counts, {wording.stops_pm(a.error_stops)}" for a in c.at),
    ]
    return Shown(c, lines)
