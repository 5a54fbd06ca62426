"""Keeping the book safe, the page in the browser, and the demonstration."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Annotated

import typer

from firstsheet.cli.face import Here, Shown, act, wrapped

if TYPE_CHECKING:
    from firstsheet.book.backup import Copied
    from firstsheet.book.store import Book


def register(app: typer.Typer) -> None:
    for name, body in (("backup", backup), ("restore", restore), ("page", page), ("demo", demo)):
        act(app, name)(body)


def backup(here: Here, dest: Annotated[str, typer.Argument(metavar="DEST", help="A new file for the copy.")]) -> Shown:
    """Copy the book to a new file, and check the copy."""
    from firstsheet.acts import keep

    with here.writing() as book:
        copied = keep.backup(book, dest)
    return Shown(copied_data(copied), _copied("Copied and read back whole", copied))


def restore(here: Here, src: Annotated[str, typer.Argument(metavar="SRC", help="The copy to bring back.")]) -> Shown:
    """Make a copy the book again. The book that was there is kept beside it."""
    from firstsheet.acts import keep
    from firstsheet.book import place

    copied = keep.restore(src, str(place.resolve(here.book)))
    lines = _copied("The book is now", copied)
    if copied.replaced:
        lines.append(f"The one before it is kept as {copied.replaced}.")
    return Shown(copied_data(copied), lines)


def copied_data(copied: Copied) -> dict[str, object]:
    """The copy as data; paths become text."""
    replaced = str(copied.replaced) if copied.replaced else None
    return {"path": str(copied.path), "size_bytes": copied.size, "counts": copied.counts, "replaced": replaced}


def _copied(words: str, copied: Copied) -> list[str]:
    return wrapped(
        f"{words}: {copied.path}, {copied.counts.get('sheet', 0)} sheets, {copied.counts.get('mark', 0)} marks."
    )


def page(
    here: Here,
    port: Annotated[int, typer.Option(min=0, max=65535, metavar="N", help="Where this computer answers.")] = 8765,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let a phone on the same network in, by a code.", show_default=False)
    ] = False,
    host: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Answer on this address only.", show_default=False)
    ] = None,
) -> Shown:
    """Open the book in the browser. Ends with Ctrl-C."""
    with here.writing() as book:
        serve_page(book, port, lan, host)
    return Shown({"served": True}, ["The page is closed; all that was noted is in the book."])


def serve_page(book: Book, port: int, lan: bool, host: str | None = None) -> None:
    """Serve until interrupted."""
    from firstsheet.web.serve import serve

    # The server hands Ctrl-C on once it has closed down: that is how it is meant to end.
    with contextlib.suppress(KeyboardInterrupt):
        serve(book, host=host or ("0.0.0.0" if lan else "127.0.0.1"), port=port, lan=lan)


def demo(
    here: Here,
    no_serve: Annotated[
        bool,
        typer.Option("--no-serve", help="Make the demonstration's book and pictures, then stop.", show_default=False),
    ] = False,
    into: Annotated[
        str, typer.Option(metavar="FOLDER", help="Where to put it; a new dated folder is made inside.")
    ] = "demo",
    port: Annotated[int, typer.Option(min=0, max=65535, metavar="N", help="Where the page answers afterwards.")] = 8765,
    seed: Annotated[int, typer.Option(metavar="N", help="Which invented truth is hidden.")] = 6,
) -> Shown:
    """See the whole loop on three sheets of an invented sitting."""
    from firstsheet.cli import demo as demonstration
    from firstsheet.cli.opening import book_at

    answer = demonstration.play(into, seed, here.tell)
    if not no_serve:
        with book_at(str(answer["book"])) as book:
            serve_page(book, port, lan=False)
    return Shown(answer, [])
