"""The loop of a sheet: say, room, plan, expose, judge, take a judgement back."""

from __future__ import annotations

from typing import Annotated

import typer

from firstsheet import wording
from firstsheet.cli import lines
from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import read_file, write_new
from firstsheet.cli.owning import words

Light = Annotated[str | None, words("Kind of light: sun, overcast, open_shade, low_sun, window, tungsten, led.")]
Subject = Annotated[str | None, words("Lens to the sitter's eyes: “3 m”.")]
Head = Annotated[str | None, words("Or how tall a head is on the sheet: “90 mm”.")]
Reading = Annotated[str | None, words("“EV 11”, “10000 lx”, “EV 12 on face_light”, “open shade”.")]
How = Annotated[str | None, words("How it was read: incident, dome, reflected, board.")]
Tone = Annotated[str | None, words("On which tone: grey_card, face_light, face_mid, …")]
Aperture = Annotated[str | None, words("“f/11”; “any” to let it choose.")]
Filter = Annotated[str | None, words("Density of the filter on the lens: 0.9.")]
Negative = Annotated[str | None, words("Density of the negative over the paper (contact print).")]
Flash = Annotated[str | None, words("An even flash besides the picture, as a share of the threshold: 0.7; “no” for none.")]
Camera = Annotated[str | None, words("Which camera.")]
Box = Annotated[str | None, words("Which box of paper.")]
Developer = Annotated[str | None, words("Which developer.")]
Way = Annotated[str | None, words("paper_negative, direct_positive, reversal_bw, reversal_ra4 or contact_print.")]
Meter = Annotated[str | None, words("Which meter.")]
Sitter = Annotated[str | None, words("Who or what it is of.")]
Code = Annotated[str, typer.Argument(metavar="CODE", help="The four signs on the back of the sheet.")]


def register(app: typer.Typer) -> None:
    for name, body in (
        ("say", say), ("room", room), ("plan", plan), ("expose", expose), ("judge", judge), ("takeback", takeback),
    ):  # fmt: skip
        act(app, name)(body)


def say(
    here: Here, light: Light = None, subject: Subject = None, head: Head = None, reading: Reading = None, how: How = None,
    tone: Tone = None, aperture: Aperture = None, filter: Filter = None, negative: Negative = None, camera: Camera = None,
    box: Box = None, developer: Developer = None, way: Way = None, meter: Meter = None, sitter: Sitter = None, flash: Flash = None,
) -> Shown:  # fmt: skip
    """Say something for today or this sheet. It stays until you say otherwise."""
    from firstsheet.acts import wish

    said = form(
        light=light, subject=subject, head=head, reading=reading, how=how, tone=tone, aperture=aperture, filter=filter,
        negative=negative, camera=camera, box=box, developer=developer, way=way, meter=meter, sitter=sitter, flash=flash,
    )  # fmt: skip
    with here.writing() as book:
        wish.say(book, said)
        stands = {"today": book.get_setting("today") or {}, "sheet": book.get_setting("phrase") or {}}
        today, sheet = wish.standing(book)
    nothing = "nothing is described yet. Begin: firstsheet own camera …"
    lines = wrapped(f"Today: {', '.join(today)}." if today else f"Today: {nothing}")
    return Shown(stands, [*lines, *wrapped(f"This sheet: {', '.join(sheet) or 'nothing said yet'}.")])


def room(
    here: Here, camera: Camera = None, box: Box = None, size: Annotated[str | None, words("Sheet: “12x16 in”.")] = None,
    subject: Subject = None, head: Head = None, board: Annotated[str | None, words("Or where the board is: “700 mm”.")] = None,
    aperture: Aperture = None, confusion: Annotated[str | None, words("Blur that passes for sharp: “0.5 mm”.")] = None,
    drawing: Annotated[str | None, words("Also draw the room in section into this file.", "FILE.svg")] = None,
) -> Shown:  # fmt: skip
    """Where board and sitter go, and what the sheet will see."""
    from firstsheet.acts import room as rooms

    said = form(
        camera=camera,
        box=box,
        size=size,
        subject=subject,
        head=head,
        board=board,
        aperture=aperture,
        confusion=confusion,
    )
    with here.reading() as reader:
        answer = rooms.room(reader, said)
        found = lines.of_room(answer)
        if drawing:
            write_new(drawing, rooms.drawing(reader, said).encode())
            found.append(f"Drawn into {drawing}.")
    return Shown(answer, found)


def plan(
    here: Here, light: Light = None, subject: Subject = None, head: Head = None, reading: Reading = None, how: How = None,
    tone: Tone = None, aperture: Aperture = None, filter: Filter = None, negative: Negative = None, camera: Camera = None,
    box: Box = None, developer: Developer = None, way: Way = None, meter: Meter = None, sitter: Sitter = None, flash: Flash = None,
) -> Shown:  # fmt: skip
    """Seconds at an aperture, how sure, and why. Nothing is stored; what is said with “firstsheet say” stays, and “expose” keeps it."""
    from firstsheet.acts import plan as planning

    said = form(
        light=light, subject=subject, head=head, reading=reading, how=how, tone=tone, aperture=aperture, filter=filter,
        negative=negative, camera=camera, box=box, developer=developer, way=way, meter=meter, sitter=sitter, flash=flash,
    )  # fmt: skip
    with here.reading() as reader:
        answer = planning.plan(reader, said)
    return Shown(answer, lines.of_plan(answer))


def expose(
    here: Here,
    code: Annotated[str | None, typer.Argument(metavar="CODE", help="A sheet already kept; without it, the plan as said so far becomes one.", show_default=False)] = None,
    strip: Annotated[bool, typer.Option("--strip", help="It is a test strip.", show_default=False)] = False,
    given: Annotated[str | None, words("Seconds really given; as planned if you say nothing.")] = None,
    aperture: Annotated[str | None, words("Aperture really set.")] = None,
    remark: Annotated[str | None, words("Anything to remember.")] = None,
    sun_seen: Annotated[bool, typer.Option("--sun-seen", help="In the hours when the sun can enter the lens: it is seen to.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """Keep the sheet, get its code, and note what it was given."""
    from firstsheet.acts import expose as exposing
    from firstsheet.acts import flash
    from firstsheet.refusal import Refusal

    if strip and code:
        raise Refusal.one("strip", code, "A new test strip has no code yet.", "Leave out the code, or --strip.")
    said = form(given=given, aperture=aperture, remark=remark)
    with here.writing() as book, book.begin():
        code = code or exposing.keep(book, {"sun": "seen"} if sun_seen else None, strip=strip).code
        sheet = exposing.expose(book, code, said)
        flashed = flash.before_it(book, sheet)
    # What can hurt comes first, whenever the lens is opened for a new sheet: the sun through it, then the tray.
    first = [line for c in sheet.plan["cautions"] for line in wrapped(c)]
    if sheet.plan["way"] == "contact_print" and sheet.plan["aperture"] is None:
        first += ["", *wrapped(f"{'; '.join(sheet.plan['readings'])}.")]
    first += ["", *wrapped(flashed)] if flashed else []
    words = f"{sheet.code}: pencil it on the back. Given {wording.seconds(sheet.given_s or 0.0)}"
    words += f" at {wording.f_number(sheet.given_aperture)}" if sheet.given_aperture else ""
    words += f" through {sheet.plan['pack']['words']}." if sheet.plan.get("pack") else "."
    return Shown(sheet, [*first, "", words, f"Next: firstsheet run {sheet.code}"])


def judge(
    here: Here,
    code: Code,
    border: Annotated[str | None, words("The masked border, first of all: white, grey or black.")] = None,
    seen: Annotated[str | None, words("as_wanted, a_little_dark, too_dark, much_too_dark, black_all_over, a_little_pale, too_pale, much_too_pale, blank.")] = None,
    step: Annotated[str | None, words("For a test strip, the step that looks right: 1 is the shortest, 2.5 lies between.")] = None,
    wet: Annotated[bool | None, typer.Option("--wet/--dry", help="How you see it.", show_default=False)] = None,
    kept: Annotated[bool | None, typer.Option("--kept/--not-kept", help="Whether you keep it.", show_default=False)] = None,
    fault: Annotated[list[str] | None, words("What else went wrong (again for more): moved, unsharp, uneven, fogged, …")] = None,
    note: Annotated[str | None, words("Anything to remember.")] = None,
    picture: Annotated[str | None, words("A picture of the sheet.", "FILE")] = None,
) -> Shown:  # fmt: skip
    """Say what you see on the sheet. The next plan knows more."""
    from firstsheet.acts import judge as judging

    said = form(
        border=border,
        seen=seen,
        step=step,
        wet=_yes(wet),
        kept=_yes(kept),
        faults=", ".join(fault) if fault else None,
        note=note,
    )
    data = read_file(picture, "picture") if picture else None
    with here.writing() as book:
        change = judging.judge(book, code, said, data)
        colour = judging.colour_next(book, code)
    found = [line for words in (*change.words, *change.next_time, *([colour] if colour else [])) for line in wrapped(words)]
    return Shown(change, found)


def takeback(here: Here, code: Code) -> Shown:
    """Take a judgement back, and what it taught with it."""
    from firstsheet.acts import judge as judging

    with here.writing() as book:
        sheet = judging.take_back(book, code)
    return Shown(sheet, [f"Taken back: {lines.sheet_line(sheet)}."])


def _yes(value: bool | None) -> str | None:
    return None if value is None else "yes" if value else "no"
