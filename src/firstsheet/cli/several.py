"""`several`: several sheets at once, when hands do what; and one sound for all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, form, heading, wrapped
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.several import SeveralPlan


def register(app: typer.Typer) -> None:
    act(app, "several")(several)


def several(
    here: Here,
    sheets: Annotated[list[str] | None, typer.Argument(metavar="SHEETS…", help="“3 paper_negative”, “direct_positive fibre in 20 min”, a sheet’s code; several, or with ; between. None: the evening that was begun, planned anew.", show_default=False)] = None,
    compose: Annotated[str | None, words("To compose and focus, lens open; 0 for none. Usually 2 min.")] = None,
    mount: Annotated[str | None, words("Box open, sheet on the board, box shut. Usually 40 s.")] = None,
    expose: Annotated[str | None, words("Each exposure; that of a sheet in the book is its plan’s.")] = None,
    carry: Annotated[str | None, words("From the board to the trays. Usually 15 s.")] = None,
    hold: Annotated[str | None, words("Longest a composed picture, or a sheet on the board, may wait. Usually 60 s.")] = None,
    box: Annotated[str | None, words("A shut box in which exposed sheets wait: yes, or the time it takes.")] = None,
    keep: Annotated[str | None, words("Longest wait in it.")] = None,
    places: Annotated[str | None, words("How many sheets a tray takes: “wash 6, fixer 2”.")] = None,
    hands: Annotated[str | None, words("What need not be rocked all the time, or must: “stop some, fixer all”.")] = None,
    times: Annotated[str | None, words("Your own times: “developer 150 s”.")] = None,
    early: Annotated[bool, typer.Option("--early", help="Lift at the low end of the windows.", show_default=False)] = False,
    done: Annotated[str | None, words("Begun already: “1 compose 0:00, 1 mount 2:05”. The rest is planned anew.")] = None,
    now: Annotated[str | None, words("Time since the beginning; nothing more begins before.")] = None,
    begin: Annotated[bool, typer.Option("--begin", help="Keep it in the book; times count from now.", show_default=False)] = False,
    mark: Annotated[str | None, words("Begun now, of the evening in the book: “1 compose”; or then: “1 compose 2:05”.")] = None,
    back: Annotated[bool, typer.Option("--back", help="Take the last mark back.", show_default=False)] = False,
    id: Annotated[str | None, words("A name for the mark or the beginning: said twice, it is kept once. With --back: that mark.")] = None,
    evening: Annotated[str | None, words("The number of an evening; else the newest.")] = None,
    sound: Annotated[str | None, typer.Option("--sound", metavar="FILE.wav", help="A new file for one sound of all of it.", show_default=False)] = None,
) -> Shown:  # fmt: skip
    """Several sheets at once: two hands, the trays’ places, a wash that begins anew, one light for the whole room."""
    from firstsheet.acts import several as act_of
    from firstsheet.acts import several_kept as kept
    from firstsheet.cli.files import write_new

    said = form(sheets="; ".join(sheets or ()) or None, compose=compose, mount=mount, expose=expose, carry=carry, hold=hold, box=box, keep=keep,
                places=places, hands=hands, times=times, early=early or None, done=done, now=now)  # fmt: skip
    kept.one_wish(said, begin=begin, mark=mark, back=back, evening=evening)
    number = kept.whole(evening)
    if begin or mark or back:
        with here.writing() as book:
            if begin:
                found = kept.begin(book, {**said, "id": id})
            else:
                found = kept.mark(book, number, {"begin": mark, "id": id}) if mark else kept.take_back(book, number, id)
            number = found.number
    with here.reading() as reader:
        if not (begin or mark or back):
            found = act_of.plan(reader, said) if said else kept.plan(reader, number)
        data = b"" if not sound else kept.wav(reader, number) if found.number else act_of.wav(reader, said)
    if sound:
        write_new(sound, data)
    return Shown(found, [*of_plan(found), *([f"Written to {sound}."] if sound else [])])


def of_plan(p: SeveralPlan) -> list[str]:
    lines = [line for c in p.cautions for line in wrapped(c)]
    lines += ["", *wrapped(p.headline), *wrapped(p.proof)]
    lines += wrapped(f"What stands in the way: {p.bottleneck.words}. At most {p.at_most_per_hour:.1f} an hour by it.")
    for r in p.reliefs:
        lines += wrapped(f"With {r.words}: {_minutes(r.saved_s)} sooner.", "  ")
    for x in p.late:
        lines += wrapped(x)
    if p.number:
        left = next((w for w in p.work if not w.marked), None)
        then = f"Next, at {left.at}: sheet {left.sheet}, {left.key}." if left else "Every stretch is begun."
        lines += wrapped(f"Evening {p.number}, {_clock(p.now_s)} since it began. {then}")
    lines += heading("What hands do")
    for w in p.work:
        mark = "begun " if w.marked else ""
        lines += wrapped("; ".join(w.words) + ".", f"  {w.at:>6}  {mark}sheet {w.sheet}  ")
    lines += heading("The room’s light")
    lines += [line for x in p.lights for line in wrapped(x.words, f"  {x.at:>6}  ")]
    lines += heading("Ready")
    return lines + [
        line for s in p.sheets for line in wrapped(f"sheet {s.name}, {s.words}.", f"  {_clock(s.done_s):>6}  ")
    ]


def _minutes(time_s: int) -> str:
    from firstsheet import wording

    return wording.seconds(time_s)


def _clock(time_s: int) -> str:
    from firstsheet.acts.several_words import clock

    return clock(time_s)
