"""`contrast`: the scene's range against the paper's, and what to do. `flash`: the seconds of a preflash, its threshold, the sheet that got it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import write_new
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.contrast import Contrast, Option
    from firstsheet.acts.flash import Dose, Standing

Box = Annotated[str | None, words("Which box of paper; today's unless said.")]
Developer = Annotated[str | None, words("Which developer; today's unless said.")]
Way = Annotated[str | None, words("paper_negative, direct_positive, reversal_bw …; today's unless said.")]
Share = Annotated[str | None, words("Of the threshold: 0.7 unless said.")]


def register(app: typer.Typer) -> None:
    act(app, "contrast")(contrast)
    group = typer.Typer(rich_markup_mode=None, help="Preflash: its seconds, the threshold it is a share of, and the sheet that got it.")
    app.add_typer(group, name="flash")
    act(group, "flash", main=True)(known)
    for name, body in (("dose", dose), ("found", found), ("given", given)):
        act(group, name)(body)


def contrast(
    here: Here,
    range: Annotated[str | None, words("The scene's range in stops: “6”, or “1:64”; without it, the plan's spot readings.")] = None,
    share: Share = None, light: Annotated[str | None, words("Kind of light: sun, open_shade, overcast …; the plan's unless said.")] = None,
    box: Box = None, developer: Developer = None, way: Way = None,
    drawing: Annotated[str | None, words("Also draw the curve and the scene into this file.", "FILE.svg")] = None,
) -> Shown:  # fmt: skip
    """Whether the scene fits on the paper, what each way out buys in stops and costs, and which to take."""
    from firstsheet.acts import contrast as contrasts
    from firstsheet.refusal import Refusal

    said = form(range=range, share=share, light=light, box=box, developer=developer, way=way)
    with here.reading() as reader:
        c = contrasts.contrast(reader, said)
    lines = of_contrast(c)
    if drawing:
        if not c.plot_svg:
            raise Refusal.one("drawing", drawing, "A box whose curve was measured.", "Read a strip of it into a curve first: firstsheet strip --help")
        write_new(drawing, c.plot_svg.encode())
        lines.append(f"Drawn into {drawing}.")
    return Shown(c, lines)


def of_contrast(c: Contrast) -> list[str]:
    """The recommendation, what flashes, every way out, then what it rests on."""
    lines = [*wrapped(c.says), ""]
    lines += wrapped(f"{c.way_words}, box {c.box} in {c.developer}. The paper: {c.paper_words}.")
    if c.flash:
        lines += wrapped(c.flash.words)
    lines.append("")
    for o in c.options:
        lines += wrapped(option_words(o, c.currency), "→ " if o.key in (c.take, c.also) else "  ", "    ")
    lines.append("")
    for o in c.options:
        if o.open and o.caution:
            lines += wrapped(f"{o.words[:1].upper()}{o.words[1:]}: {o.caution}")
    for n in c.notes:
        lines += wrapped(n)
    return [*lines, "", "Where this comes from", *[x for o in c.options if o.key != "as_is" for x in wrapped(f"{o.words}: {o.source}", "  ", "    ")]]  # fmt: skip


def option_words(o: Option, currency: str) -> str:
    from firstsheet.acts.contrast import costs_words

    if not o.open:
        return f"{o.words}: {o.why_not}"
    buys = f"buys {wording.stops_apart(o.buys_stops)} ({o.low:.1f} to {o.high:.1f})" if o.key != "as_is" else "buys nothing"
    money = f", {wording.about(o.cost_per_keeper, currency)} a keeper" if o.cost_per_keeper is not None else ""
    return f"{o.words}: {buys}; {costs_words(o)}; both ends hold {wording.chance(o.keeper_chance)}{money}. {o.does}"


def known(here: Here, box: Box = None, developer: Developer = None, way: Way = None) -> Shown:
    """What is known of this box's threshold, or the scrap that finds it."""
    from firstsheet.acts import flash

    with here.reading() as reader:
        s = flash.standing(reader, form(box=box, developer=developer, way=way))
    return Shown(s, of_standing(s))


def of_standing(s: Standing) -> list[str]:
    from firstsheet.acts.flash import threshold_words

    if not s.thresholds:
        return [*wrapped(f"The threshold of box {s.box} in {s.developer} was never measured: no preflash yet."), *wrapped(s.scrap)]
    lines = [f"Threshold of box {s.box} in {s.developer}:"]
    for t in s.thresholds:
        lines += wrapped(threshold_words(t), "  ", "    ")
    return lines


def dose(
    here: Here,
    lux: Annotated[str | None, words("Light at the paper: “0.2 lx”, under the lamp or behind the white sheet.")] = None,
    ev: Annotated[str | None, words("Or EV at ISO 100 of a lit white sheet over the lens, metered from the lens's side: “8”.")] = None,
    aperture: Annotated[str | None, words("With --ev: the aperture that will stand: “f/16”.")] = None,
    board: Annotated[str | None, words("With --ev: lens to board: “750 mm”.")] = None,
    under: Annotated[str | None, words("Or the light of the scrap, by its name.")] = None,
    share: Share = None, box: Box = None, developer: Developer = None, way: Way = None,
) -> Shown:  # fmt: skip
    """The seconds of a preflash. Refused on a box whose threshold was never measured."""
    from firstsheet.acts import flash

    said = form(lux=lux, ev=ev, aperture=aperture, board=board, under=under, share=share, box=box, developer=developer, way=way)
    with here.reading() as reader:
        d = flash.dose(reader, said)
    return Shown(d, of_dose(d))


def of_dose(d: Dose) -> list[str]:
    from firstsheet.acts.flash import dose_words

    return [x for line in (*d.cautions[:1], *dose_words(d), *d.notes, *d.cautions[1:]) for x in wrapped(line)]


def found(
    here: Here,
    times: Annotated[str | None, words("The whole flash of each step: “1 2 4 8 s”.")] = None,
    shows: Annotated[str | None, words("The first step that shows, counted from 1.")] = None,
    under: Annotated[str | None, words("The light, in a few words: “lamp at 2 m”.")] = None,
    box: Box = None, developer: Developer = None, way: Way = None,
) -> Shown:  # fmt: skip
    """Keep a threshold counted on a scrap."""
    from firstsheet.acts import flash

    with here.writing() as book:
        s = flash.found(book, form(times=times, shows=shows, under=under, box=box, developer=developer, way=way))
    return Shown(s, of_standing(s))


def given(
    here: Here, code: Annotated[str, typer.Argument(metavar="CODE", help="The four signs on the back of the sheet.")],
    share: Share = None, seconds: Annotated[str | None, words("How long it was flashed.")] = None,
    how: Annotated[str | None, words("How, in a few words.")] = None,
) -> Shown:  # fmt: skip
    """Mark a sheet as flashed, before its picture or after it."""
    from firstsheet.acts import flash

    with here.writing() as book:
        s = flash.given(book, code, form(share=share, seconds=seconds, how=how))
    return Shown(s, wrapped(f"Sheet {s.code} is flashed ({s.state}). Pencil it on its back; not a second time."))
