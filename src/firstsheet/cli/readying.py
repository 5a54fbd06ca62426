"""`ready`: before the box opens. `lamptest`, `leaktest`: lamps, this phone and the dark of the room, tested with paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, heading, wrapped
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.lamptest import LampGuide
    from firstsheet.acts.leaktest import LeakGuide
    from firstsheet.acts.readiness import Ready

Box = Annotated[str | None, words("The box; today’s if you say none.")]
Way = Annotated[str | None, words("The way of working; the paper’s usual one if you say none.")]
Developer = Annotated[str | None, words("paper, coffee or ra4.")]
Exposure = Annotated[str | None, words("The longest exposure planned: “30 s”.")]
Lux = Annotated[str | None, words("White light of the flash where the paper lies [lx].")]


def register(app: typer.Typer) -> None:
    act(app, "ready")(ready)
    lamp = typer.Typer(rich_markup_mode=None, help="Lamps, and this phone, tested as safelights with your paper.")
    leak = typer.Typer(rich_markup_mode=None, help="Scraps of paper laid in the dark room: is it dark enough?")
    app.add_typer(lamp, name="lamptest")
    app.add_typer(leak, name="leaktest")
    act(lamp, "lamptest", main=True)(lamps)
    act(leak, "leaktest", main=True)(leaks)
    act(lamp, "steps")(lamp_steps)
    act(lamp, "keep")(lamp_keep)
    act(lamp, "away")(lamp_away)
    act(leak, "steps")(leak_steps)
    act(leak, "keep")(leak_keep)


def ready(
    here: Here,
    code: Annotated[str, typer.Argument(metavar="CODE", help="The code on the back of the sheet.")],
    so: Annotated[str | None, words("What is so: “all”, “all but gloves, air”, “none”, or names.")] = None,
) -> Shown:
    """What to see to before the box of paper opens, for this sheet; with --so it is kept. It blocks nothing."""
    from firstsheet.acts import readiness

    if so is None:
        with here.reading() as reader:
            found = readiness.of_sheet(reader, code)
    else:
        with here.writing() as book:
            found = readiness.say(book, code, {"so": so})
    return Shown(found, of_ready(found))


def of_ready(r: Ready) -> list[str]:
    lines = wrapped(r.first)
    lines += heading(f"Before the box opens: {r.code}, {r.way_words}")
    for f in r.tests:
        lines += wrapped(f.words, "  " if f.well else "! ", "  ")
    for i in r.items:
        lines += wrapped(f"{i.words} ({i.key})", "[x] " if i.so else "[ ] ", "    ")
        lines += wrapped(f"Not so? {i.otherwise}" if i.so is False else i.why, "    ", "    ") if not i.so else []
    if r.wall:
        kept = f"Said on {r.wall[:16].replace('T', ' ')} UTC; {r.left} of {len(r.items)} not ticked."
    else:
        kept = "Nothing was said before this run." if r.begun else f"Keep it: firstsheet ready {r.code} --so all"
    return [*lines, "", *wrapped(kept)]


def lamps(here: Here) -> Shown:
    """Every test of a lamp or a phone, newest first."""
    from firstsheet.acts import lamptest

    with here.reading() as reader:
        found = lamptest.tests(reader)
    lines = [line for t in found for line in wrapped(f"{t.number:3d}  {t.words}{' (put away)' if t.away else ' (old: again)' if t.old else ''}", "", "     ")]  # fmt: skip
    return Shown(found, lines or wrapped("No lamp was tested yet. How: firstsheet lamptest steps"))


def lamp_steps(here: Here, box: Box = None, way: Way = None, developer: Developer = None, exposure: Exposure = None, lux: Lux = None) -> Shown:  # fmt: skip
    """How to test a lamp, or this phone, with this paper."""
    from firstsheet.acts import lamptest

    with here.reading() as reader:
        found = lamptest.guide(reader, form(box=box, way=way, developer=developer, exposure=exposure, lux=lux))
    head = f"{found.paper}, box {found.box}: a run is {wording.seconds(found.needed_s)} under the lamp."
    after = f'Then: firstsheet lamptest keep "bench lamp" --distance "1.2 m" --tested "{lamptest.as_said(found.totals_s)}" --before no --after "7 min"'
    return Shown(found, [*_guided(found, head), *wrapped(after)])


def _guided(g: LampGuide | LeakGuide, head: str) -> list[str]:
    lines = [line for c in g.cautions for line in wrapped(c)]
    lines += heading(head[:1].upper() + head[1:])
    for number, step in enumerate(g.steps, 1):
        lines += wrapped(step, f"{number}. ", "   ")
    lines.append("")
    for why in (*g.reasons, g.rule, *getattr(g, "notes", ())):
        lines += wrapped(why)
    return lines


def lamp_keep(
    here: Here,
    lamp: Annotated[str, typer.Argument(metavar="LAMP", help="What you call it.")],
    distance: Annotated[str | None, words("From lamp to paper: “1.2 m”.")] = None,
    tested: Annotated[str | None, words("What the parts have had: “1 3 7 min”.")] = None,
    before: Annotated[str | None, words("Lamp before the flash: “no”, or the shortest time that shows.")] = None,
    after: Annotated[str | None, words("Lamp after the flash: “no”, or the shortest time that shows.")] = None,
    kind: Annotated[str | None, words("lamp or phone.")] = None,
    brightness: Annotated[str | None, words("Of a phone, as it says itself.")] = None,
    box: Box = None,
) -> Shown:
    """Keep what a test of a lamp showed."""
    from firstsheet.acts import lamptest

    said = form(lamp=lamp, distance=distance, tested=tested, before=before, after=after, kind=kind, brightness=brightness, box=box)  # fmt: skip
    with here.writing() as book:
        found = lamptest.keep(book, said)
    return Shown(found, wrapped(found.words) + wrapped(lamptest.RULE))


def lamp_away(here: Here, lamp: Annotated[str, typer.Argument(metavar="LAMP", help="Which lamp.")]) -> Shown:
    """This lamp is no longer used; its tests stay in the book."""
    from firstsheet.acts import lamptest

    with here.writing() as book:
        found = lamptest.put_away(book, lamp)
    return Shown(found, wrapped(f"{lamp} is put away: runs no longer ask about it."))


def leaks(here: Here) -> Shown:
    """Every test of the dark, newest first."""
    from firstsheet.acts import leaktest

    with here.reading() as reader:
        found = leaktest.tests(reader)
    lines = [line for t in found for line in wrapped(f"{t.number:3d}  {t.words}{' (old: again)' if t.old else ''}", "", "     ")]  # fmt: skip
    return Shown(found, lines or wrapped("No room was tested yet. How: firstsheet leaktest steps"))


def leak_steps(
    here: Here,
    box: Box = None,
    way: Way = None,
    developer: Developer = None,
    exposure: Exposure = None,
    places: Annotated[str | None, words("Where scraps lie: “board, trays”.")] = None,
    lux: Lux = None,
) -> Shown:
    """How to test the dark of this room with scraps."""
    from firstsheet.acts import leaktest

    said = form(box=box, way=way, developer=developer, exposure=exposure, places=places, lux=lux)
    with here.reading() as reader:
        found = leaktest.guide(reader, said)
    head = f"{found.paper}, box {found.box}: a sheet is {wording.seconds(found.needed_s)} out of its box."
    after = f'Then: firstsheet leaktest keep --lay "{wording.seconds(found.lay_s)}" --seen no'
    return Shown(found, [*_guided(found, head), *wrapped(after)])


def leak_keep(
    here: Here,
    lay: Annotated[str | None, words("How long they lay: “14 min”.")] = None,
    seen: Annotated[str | None, words("“no”, or the places where a difference showed.")] = None,
    places: Annotated[str | None, words("Where they lay: “board, trays”.")] = None,
    room: Annotated[str | None, words("The camera room; today’s if you say none.")] = None,
    box: Box = None,
) -> Shown:
    """Keep what the scraps showed."""
    from firstsheet.acts import leaktest

    with here.writing() as book:
        found = leaktest.keep(book, form(lay=lay, seen=seen, places=places, room=room, box=box))
    return Shown(found, wrapped(found.words) + wrapped(leaktest.RULE))
