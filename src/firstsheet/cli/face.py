"""What every command shares: the book and `--json` before or after its name, one answer printed, one kind of ending."""

from __future__ import annotations

import functools
import inspect
import json
import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

from firstsheet.answer import to_json
from firstsheet.cli import opening
from firstsheet.refusal import Problem, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

DONE, UNFORESEEN, REFUSED, MISSING, NO_BOOK, INTERRUPTED = 0, 1, 2, 3, 4, 130
ENDINGS = {"asked": REFUSED, "missing": MISSING, "busy": NO_BOOK, "book": NO_BOOK}
WIDEST, NARROWEST = 96, 40

BookOption = Annotated[
    str | None,
    typer.Option(
        "--book", metavar="PATH", help="The book to use; else $FIRSTSHEET_BOOK, else your own.", show_default=False
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="The whole answer as JSON.", show_default=False)]


@dataclass(frozen=True, slots=True)
class Said:
    """What was said before the command's name."""

    book: str | None = None
    json: bool = False


@dataclass(frozen=True, slots=True)
class Here:
    """Where a command stands: which book, and whether its answer is wanted as JSON."""

    book: str | None
    json: bool

    def reading(self) -> AbstractContextManager[Reader]:
        return opening.reader_for(self.book)

    def writing(self) -> AbstractContextManager[Book]:
        return opening.book_at(self.book)

    def tell(self, line: str = "") -> None:
        """A line for people on the way to the answer; nothing where JSON is wanted."""
        if not self.json:
            print(line, flush=True)


@dataclass(frozen=True, slots=True)
class Shown:
    """One answer: as data, and as lines for people. `ended` is its exit code."""

    answer: object
    lines: Sequence[str]
    ended: int = DONE


def act(app: typer.Typer, name: str, *, main: bool = False) -> Callable[[Callable[..., Shown]], Callable[..., Shown]]:
    """Make `body(here, …)` a command of `app`: it gains --book and --json, and what it returns is printed.

    main  the command that runs where only the name of the group `app` is given
    """

    def register(body: Callable[..., Shown]) -> Callable[..., Shown]:
        hints = get_type_hints(body, include_extras=True)

        @functools.wraps(body)
        def command(ctx: typer.Context, book: str | None = None, json: bool = False, **given: Any) -> None:
            if main and ctx.invoked_subcommand:
                ctx.obj = Said(book or ctx.obj.book, json or ctx.obj.json)
                return
            here = Here(book or ctx.obj.book, json or ctx.obj.json)
            raise typer.Exit(finish(here.json, lambda: body(here, **given)))

        kept = [p.replace(annotation=hints[p.name]) for p in list(inspect.signature(body).parameters.values())[1:]]
        kind = inspect.Parameter.KEYWORD_ONLY
        ours = [
            inspect.Parameter("ctx", kind, annotation=typer.Context),
            *(p.replace(kind=kind) for p in kept),
            inspect.Parameter("book", kind, annotation=BookOption, default=None),
            inspect.Parameter("json", kind, annotation=JsonOption, default=False),
        ]
        command.__signature__ = inspect.Signature(ours)  # type: ignore[attr-defined]
        command.__annotations__ = {p.name: p.annotation for p in ours}
        del command.__wrapped__
        if main:
            app.callback(invoke_without_command=True)(command)
        else:
            app.command(name)(command)
        return body

    return register


def finish(as_json: bool, body: Callable[[], Shown]) -> int:
    """Run `body`, print what it answers or why not, and say which exit code that is."""
    try:
        shown = body()
    except Refusal as refusal:
        return refused(as_json, refusal)
    if as_json:
        print(json.dumps(to_json(shown.answer), ensure_ascii=False, indent=2, allow_nan=False))
    else:
        for line in shown.lines:
            print(line)
    return shown.ended


def refused(as_json: bool, refusal: Refusal) -> int:
    """Print every problem: as JSON where that was asked for, else to the error output, one line each."""
    if as_json:
        print(json.dumps(refusal.to_json(), ensure_ascii=False, indent=2))
    else:
        for problem in refusal.problems:
            print("\n".join(wrapped(_told(problem))), file=sys.stderr)
    return ENDINGS.get(refusal.kind, REFUSED)


def _told(problem: Problem) -> str:
    """A problem in words: the field as its option is typed, and nothing quoted where nothing was said."""
    asked = f" “{problem.asked}”." if problem.asked else ""
    return f"{problem.where.replace('_', '-')}:{asked} {problem.allowed} {problem.hint}".strip()


def unforeseen(error: BaseException) -> int:
    """One calm line for what nobody foresaw; the whole story with FIRSTSHEET_TRACE=1."""
    if os.environ.get("FIRSTSHEET_TRACE"):
        import traceback

        traceback.print_exception(error)
    else:
        what = f"{type(error).__name__}: {error}".splitlines()[0]
        print(f"Something unforeseen happened ({what}). FIRSTSHEET_TRACE=1 shows where.", file=sys.stderr)
    return UNFORESEEN


def form(**said: object) -> dict[str, object]:
    """Only what was really said."""
    return {key: value for key, value in said.items() if value is not None}


def width() -> int:
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size((80, 24)).columns))


def wrapped(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """A sentence broken to the width of the terminal; `first` and `rest` stand before its lines."""
    rest = " " * len(first) if rest is None else rest
    return textwrap.wrap(text, width(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False) or [first]


def heading(text: str) -> list[str]:
    return ["", text]
