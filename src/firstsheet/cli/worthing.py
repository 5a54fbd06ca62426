"""`worth`: what a minute of this light or sitter is worth, and how many more sheets are to come."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.owning import words

if TYPE_CHECKING:
    from firstsheet.acts.worth import Worth


def register(app: typer.Typer) -> None:
    act(app, "worth")(worth)


def worth(
    here: Here,
    minute: Annotated[str | None, words("What a minute is worth: “0.50 EUR”; “none” takes it back.")] = None,
    more: Annotated[str | None, words("How many more sheets from this box, the next one counted: “12”; “none” takes it back.")] = None,
    box: Annotated[str | None, words("Which box; today’s if you say none.")] = None,
) -> Shown:  # fmt: skip
    """What a minute is worth and how many more sheets you mean to make: the advice counts with both."""
    from firstsheet.acts import worth as worths

    said = form(minute=minute, more=more, box=box)
    if said:
        with here.writing() as book:
            found = worths.say_worth(book, said)
    else:
        with here.reading() as reader:
            found = worths.worth(reader)
    return Shown(found, of_worth(found))


def of_worth(w: Worth) -> list[str]:
    minute = (
        "nobody said; waiting costs nothing in the advice" if w.minute is None else wording.money(w.minute, w.currency)
    )
    lines = wrapped(f"A minute: {minute}.")
    for s in w.boxes:
        more = (
            "nobody said how many more are to come"
            if s.more is None
            else f"{s.more:g} more to come, the next one counted"
        )
        lines += wrapped(f"Box {s.box}: {more}; {s.left:g} left in it.", "  ")
    return lines + [line for n in w.notes for line in wrapped(n)]
