"""`strip`: a scrap of paper made, read and drawn into a curve that counts in plans."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, heading, wrapped
from firstsheet.cli.files import read_file, write_new
from firstsheet.cli.owning import words
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.calibrate import StripLooked
    from firstsheet.acts.calibrate_curve import CurveAnswer, Named
    from firstsheet.acts.card import Card
    from firstsheet.acts.strip_track import StripTrack


def register(app: typer.Typer) -> None:
    group = typer.Typer(
        rich_markup_mode=None, no_args_is_help=True, help="A scrap of paper: make a strip, read it, draw its curve."
    )
    app.add_typer(group, name="strip")
    for name, body in (
        ("make", make),
        ("track", track),
        ("card", card),
        ("read", read),
        ("again", again),
        ("curve", curve),
        ("curves", curves),
        ("count", count),
        ("take-back", take_back),
    ):
        act(group, name)(body)


def make(
    here: Here,
    way: Annotated[str | None, words("even_tone, opal, lamp or tablet.")] = None,
    steps: Annotated[str | None, words("How many.")] = None,
    factor: Annotated[str | None, words("From step to step: “√2” or “2”.")] = None,
    first: Annotated[str | None, words("The least step’s time: “1 s”.")] = None,
    lux: Annotated[str | None, words("Lux on the paper: once, or at both ends and the middle.")] = None,
) -> Shown:
    """How to make a strip that can be read."""
    from firstsheet.acts import calibrate
    from firstsheet.acts.calibrate_words import figures

    with here.reading() as reader:
        made = calibrate.instructions(reader, form(way=way, steps=steps, factor=factor, first=first, lux=lux))
    lines = [line for s in (f"{made.way_words[:1].upper()}{made.way_words[1:]}.", *made.said) for line in wrapped(s)]
    lines += heading("Each step")
    for s in made.steps:
        got = f"{figures(s.exposure_lxs, 3)} {'lx·s' if made.absolute else '× lux'}"
        does = ""
        if s.time_s is not None:
            does = "all open" if s.step == 1 else f"cover one more, {s.open_steps} open"
            does = f"  {does}: {wording.seconds(s.time_s)}{'' if s.step == 1 else ' more'}"
        lines.append(f"  {s.step:2d}  {got:>12}{does}")
    return Shown(
        made,
        [
            *lines,
            "",
            *wrapped(f"Once it is read, say of it: --exposures “{made.exposures}”"),
            "As sound, with the same words after it: firstsheet strip track FILE.wav",
        ],
    )


def track(
    here: Here,
    to: Annotated[str | None, typer.Argument(metavar="[FILE.wav]", help="A new file for the sound; without one, only what it says.", show_default=False)] = None,
    sheet: Annotated[str | None, words("A test strip that was kept: its code.", "CODE")] = None,
    way: Annotated[str | None, words("even_tone, opal, lamp or tablet.")] = None,
    steps: Annotated[str | None, words("How many.")] = None,
    factor: Annotated[str | None, words("From step to step: “√2” or “2”.")] = None,
    first: Annotated[str | None, words("The least step’s time: “2.5 s”.")] = None,
) -> Shown:  # fmt: skip
    """A sound file that leads you through a strip in the dark: when light begins and ends, when the card moves."""
    from firstsheet.acts import strip_track

    said = form(way=way, steps=steps, factor=factor, first=first)
    if sheet and said:
        raise Refusal.one("sheet", sheet, "A kept strip has its own times.", "Leave out the code, or the rest.")
    with here.reading() as reader:
        found = strip_track.of_sheet(reader, sheet) if sheet else strip_track.of_making(reader, said)
        data = (
            (strip_track.wav_of_sheet(reader, sheet) if sheet else strip_track.wav_of_making(reader, said))
            if to
            else b""
        )
    if to:
        write_new(to, data)
    return Shown(found, _tracked(found, to))


def _tracked(t: StripTrack, to: str | None) -> list[str]:
    lines = [line for c in (*t.cautions, *t.before) for line in wrapped(c)]
    lines += heading("Each step")
    for s in t.steps:
        more = "" if s.step == 1 else " more"
        lines += wrapped(f"{s.step:2d}  {s.open_steps} open: {wording.seconds(s.time_s)}{more}, {wording.seconds(s.whole_s)} in all, "
                         f"{wording.stops_pm(s.sd_stops)} by hand", "  ", "      ")  # fmt: skip
    lines += heading("What is heard")
    lines += [f"  {_clock(c.at_s):>7}  {c.words}" for c in t.cues]
    lines += [line for n in t.notes for line in wrapped(n)]
    return [
        *lines,
        "",
        f"{_clock(t.total_s)} in all." + (f" Written to {to}." if to else " Name a file to have it as sound."),
    ]


def _clock(at_s: float) -> str:
    from firstsheet.acts.strip_track import clock

    return clock(at_s)


def card(
    here: Here,
    to: Annotated[str | None, typer.Argument(metavar="[FILE]", help="A new file for the card: .html prints on one page, .svg is the drawing.", show_default=False)] = None,
    white: Annotated[str | None, words("What its white measures: “0.08”.")] = None,
    greys: Annotated[str | None, words("Its four greys, light to dark.")] = None,
    black: Annotated[str | None, words("Its black, 1.6 or more.")] = None,
    readings: Annotated[str | None, words("Or what a spot meter reads on all six, white first: “12.0 10.9 …”.")] = None,
    forget: Annotated[bool, typer.Option("--forget", help="It is another card: nothing is known of it.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """The card to print and lay beside a strip, and what its patches measure."""
    from firstsheet.acts import card as cards
    from firstsheet.drawing.strip_card import card_page, strip_card

    said = form(white=white, greys=greys, black=black, readings=readings, forget="yes" if forget else None)
    if to and not to.lower().endswith((".html", ".svg")):
        raise Refusal.one("file", to, "A name that ends in .html or .svg.", "The first prints on one page.")
    if said:
        with here.writing() as book:
            found = cards.say_card(book, said)
    else:
        with here.reading() as reader:
            found = cards.card(reader)
    if to:
        write_new(to, (card_page() if to.lower().endswith(".html") else strip_card()).encode())
    return Shown(found, _carded(found, to))


def _carded(c: Card, to: str | None) -> list[str]:
    lines = wrapped(f"Written to {to}: print it at 100 %, then measure its ruler.") if to else []
    if c.how:
        from firstsheet.acts.card import HOW

        shown = [("white", c.white), *((f"grey {k}", g) for k, g in enumerate(c.greys or (), 1)), ("black", c.black)]
        lines.append(f"Its patches, {HOW[c.how]}, each ±{c.sd:.2f}:")
        lines += [f"  {name:7} {'not known' if value is None else f'{value:.2f}'}" for name, value in shown]
    return lines + [line for n in c.notes for line in wrapped(n)]


def read(
    here: Here,
    file: Annotated[str, typer.Argument(metavar="FILE", help="A scan or photo: JPEG, PNG, TIFF or HEIC.")],
    steps: Annotated[str | None, words("How many were given; without it the picture proposes a number.")] = None,
    sense: Annotated[str | None, words("negative: more light is darker. positive: lighter.")] = None,
    corners: Annotated[str | None, words("Four corners, 0 to 1: “0.1,0.3 0.9,0.3 0.9,0.6 0.1,0.6”.")] = None,
    taken: Annotated[str | None, words("scan or photo, if the file does not say.")] = None,
    lit: Annotated[str | None, words("front unless you say behind: on a light table, by transmission.")] = None,
    card: Annotated[bool, typer.Option("--card", help="The printed card lies beside it.", show_default=False)] = False,
    card_white: Annotated[str | None, words("Density of its white.")] = None,
    card_greys: Annotated[str | None, words("Of its four greys, light to dark.")] = None,
    card_black: Annotated[str | None, words("Of its black.")] = None,
    card_sd: Annotated[str | None, words("Give or take of each; without it, as a densitometer reads.")] = None,
) -> Shown:
    """Read the densities of a strip from a picture. Its position data is never stored."""
    from firstsheet.acts import calibrate

    data = read_file(file, "picture")
    said = form(steps=steps, sense=sense, corners=corners, taken=taken, lit=lit, card="yes" if card else None, card_white=card_white,
                card_greys=card_greys, card_black=card_black, card_sd=card_sd)  # fmt: skip
    with here.writing() as book:
        if card and not any((card_white, card_greys, card_black)):
            from firstsheet.acts import card as cards

            said |= cards.card(book).typed
        found = calibrate.look(book, data, said)
    return Shown(found, _looked(found))


def again(
    here: Here,
    strip: Annotated[str, typer.Argument(metavar="STRIP", help="Its number.")],
    steps: Annotated[str | None, words("Another count.")] = None,
    corners: Annotated[str | None, words("Other corners; “found” for those of the first reading.")] = None,
    sense: Annotated[str | None, words("negative or positive.")] = None,
    meant: Annotated[bool, typer.Option("--meant", help="Corners about a step off the first outline are meant so.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """Read a strip's kept picture again, with another count or other corners."""
    from firstsheet.acts import calibrate

    with here.writing() as book:
        found = calibrate.again(
            book, _number(strip), form(steps=steps, corners=corners, sense=sense, meant=meant or None)
        )
    return Shown(found, _looked(found))


def curve(
    here: Here,
    strip: Annotated[str | None, typer.Argument(metavar="[STRIP]", help="Its number; none where densities are typed.", show_default=False)] = None,
    exposures: Annotated[str | None, words("“1 2 4 8 s at 12 lx”, “first 0.5 lx·s, steps of √2”, “tablet 8 s at 12 lx”.")] = None,
    light: Annotated[str | None, words("The light it was exposed in.")] = None,
    box: Annotated[str | None, words("The box; today’s if you say none.")] = None,
    developer: Annotated[str | None, words("The developer.")] = None,
    way: Annotated[str | None, words("The way of working.")] = None,
    densities: Annotated[str | None, words("Typed, least exposed first: “0.08 0.10 … >2.0”.")] = None,
    density_sd: Annotated[str | None, words("Give or take of each.")] = None,
    kind: Annotated[str | None, words("reflection or transmission.")] = None,
    tablet: Annotated[str | None, words("The tablet’s own densities.")] = None,
    timing: Annotated[str | None, words("hand or timer.")] = None,
    meter: Annotated[str | None, words("The lux meter.")] = None,
    draw: Annotated[str | None, words("Write the drawing to a new SVG file.", "FILE")] = None,
    look: Annotated[bool, typer.Option("--look", help="Draw it; let it not count in plans.", show_default=False)] = False,
) -> Shown:  # fmt: skip
    """Draw the curve of a strip and let it count in the plans of its box."""
    from firstsheet.acts import calibrate_curve

    said = form(exposures=exposures, light=light, box=box, developer=developer, way=way, densities=densities, density_sd=density_sd,
                kind=kind, tablet=tablet, timing=timing, meter=meter)  # fmt: skip
    with here.writing() as book:
        found = calibrate_curve.curve(book, None if strip is None else _number(strip), said, teach=not look)
    if draw:
        write_new(draw, found.plot_svg.encode())
    return Shown(found, _drawn(found))


Curve = Annotated[str, typer.Argument(metavar="CURVE", help="Its number, as told when it was drawn.")]


def curves(here: Here, box: Annotated[str | None, words("Of this box alone.")] = None) -> Shown:
    """The curves kept, newest first, and which of them count in plans."""
    from firstsheet.acts import calibrate_kept

    with here.reading() as reader:
        found = calibrate_kept.listed(reader, box)
    lines = [
        line for c in found for line in wrapped(f"{c.number:5d}  {c.words}, {c.day}: {calibrate_kept.STATES[c.state]}", "", "       ")
    ]  # fmt: skip
    return Shown(found, lines or ["No curve was drawn yet. Draw one: firstsheet strip curve"])


def count(here: Here, curve: Curve) -> Shown:
    """Let a curve count in plans from now on; one taken back stands again."""
    from firstsheet.acts import calibrate_curve

    with here.writing() as book:
        found = calibrate_curve.count_it(book, _curve_number(curve))
    return Shown(found, _drawn(found))


def take_back(here: Here, curve: Curve) -> Shown:
    """Take a curve back: it stays in the book, and plans are as if it had never been."""
    from firstsheet.acts import calibrate_curve

    with here.writing() as book:
        found = calibrate_curve.withdraw(book, _curve_number(curve))
    again = f"It stays in the book and nothing goes by it. To have it again: firstsheet strip count {found.curve}"
    return Shown(found, [f"Curve {found.curve}, taken back: box {found.box} in {found.developer}.", *wrapped(again)])


def _number(said: str, what: str = "strip", told: str = "It was told when the strip was read.") -> int:
    if not (said.isascii() and said.isdigit() and len(said) <= 9):
        raise Refusal.one(what, said, f"The number of a {what} that is in the book.", told, "missing")
    return int(said)


def _curve_number(said: str) -> int:
    return _number(said, "curve", "See: firstsheet strip curves")


def _looked(s: StripLooked) -> list[str]:
    from firstsheet.acts.calibrate_words import density

    read_ok = sum(not p.rejected for p in s.patches)
    lines = [f"Strip {s.strip}: {read_ok} of {len(s.patches)} steps read, densities from the {s.counted_from}."]
    if not s.count_given:
        lines += wrapped(f"{s.proposed_steps} steps is a proposal; say --steps if it is not so.")
    for k, p in enumerate(s.patches, 1):
        if p.density is None:
            lines += wrapped(f"not read: {p.rejected}", f"  {k:2d}  ", "      ")
            continue
        if p.beyond:
            lines += wrapped(f"over {density(p.density)}: darker than this picture can show", f"  {k:2d}  ", "      ")
            continue
        side = {"at_least": "  at least", "at_most": "  at most"}.get(str(p.censored), "")
        lines.append(f"  {k:2d}  {density(p.density):>5}  ±{max(p.sd or 0.0, 0.01):.2f}{side}")
    return lines + [line for n in s.notes for line in wrapped(n)]


def _drawn(a: CurveAnswer) -> list[str]:
    from firstsheet.acts.calibrate_words import next_words, speed_words

    lines = [f"Curve {a.curve}: box {a.box} in {a.developer}, density by {a.kind}."]
    lines += [line for f in a.figures for line in _figure(f)]
    if speed := speed_words(a):
        lines += wrapped(speed)
    said = next_words(a.next_plan, a.taught)
    if said and not a.dropped:
        lines += wrapped(said)
    if not a.teaches:
        lines += wrapped(f"It does not count in plans. {a.why_not}")
    return lines + [line for note in a.notes for line in wrapped(note)]


def _figure(f: Named) -> list[str]:
    from firstsheet.acts.calibrate_words import figure_row

    row = figure_row(f)
    told = f"{row['value']}" + (f"  ({row['range']})" if row["range"] else "")
    return wrapped(f"{row['words']}: {told}{'. ' + row['why'] if row['why'] else ''}", "  ", "    ")
