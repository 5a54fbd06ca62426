"""`runcard` and `handin`: a run as one file that needs no server, and its marks brought back."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, wrapped
from firstsheet.cli.loop import Code
from firstsheet.refusal import Refusal


def register(app: typer.Typer) -> None:
    act(app, "runcard")(runcard)
    act(app, "handin")(handin)


def runcard(
    here: Here,
    code: Code,
    to: Annotated[str, typer.Argument(metavar="FILE.html", help="A new file for the card.")],
) -> Shown:
    """A sheet's run as one file: put it on a phone, open it there, no server and no network ever. It prints too."""
    from firstsheet.acts import runcard as cards
    from firstsheet.cli.files import write_new
    from firstsheet.web.runcardfile import card_html

    with here.reading() as reader:
        found = cards.of(reader, code)
    data = card_html(found).encode()
    write_new(to, data)
    lines = wrapped(
        f"The run of sheet {found.run['code']} is in {to}, {max(1, round(len(data) / 1e6))} MB. Open it on the phone, not in a preview. "
        "Print it as well: it says how to count. Afterwards: firstsheet handin FILE.json"
    )
    return Shown({"code": found.run["code"], "file": to, "bytes": len(data)}, lines)


def handin(
    here: Here,
    file: Annotated[str, typer.Argument(metavar="FILE.json", help="What the card saved, or - for its text typed in.")],
) -> Shown:
    """Keep the marks of a run card. Handed in twice, they are kept once."""
    from firstsheet.acts import runcard as cards
    from firstsheet.cli.files import read_file

    if file == "-":
        text = sys.stdin.read(cards.MOST_CHARACTERS + 1)
    else:
        try:
            text = read_file(file, "marks").decode("utf-8")
        except UnicodeDecodeError as error:
            raise Refusal.one("marks", file, "The file a run card saved.", "Choose that file.") from error
    with here.writing() as book:
        done = cards.hand_in(book, text)
    return Shown(done, wrapped(f"{done.words} firstsheet sheet {done.code}"))
