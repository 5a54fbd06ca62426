"""The command line: what was said becomes a form, one act answers, the same answer is printed.

Exit codes: 0 done; 2 it cannot be done as asked; 3 it is not in the book; 4 the book is busy or cannot be read;
1 anything unforeseen; 130 interrupted.
"""

from __future__ import annotations

import importlib
import io
import json
import os
import sys
from collections.abc import Sequence
from functools import cache
from typing import Annotated

import typer

from firstsheet.cli import face
from firstsheet.cli.face import BookOption, JsonOption, Said

# The part of this package that has each command, in the order of the help. To build all of them takes longer than most answers: where a command is named
# only its part is built. That parts and names agree is tested.
PARTS = {
    "owning": ("own",), "loop": ("say", "room", "plan", "expose", "judge", "takeback"), "lensing": ("lens",),
    "rooming": ("sharp", "even", "dark", "fits", "lenses", "distances", "marks", "ruler", "draw"), "lighting": ("photo", "range", "meters"),
    "colouring": ("colour",), "packing": ("pack",), "readying": ("ready", "lamptest", "leaktest"), "running": ("run", "track", "volume"),
    "carding": ("runcard", "handin"), "looking": ("versions", "badday"), "aheading": ("ahead",), "showing": ("known", "misses", "why", "sheets", "sheet"),
    "notebook": ("notebook",), "striping": ("strip",), "scraps": ("scraps",), "mixing": ("mix", "bath"), "several": ("several",), "ways": ("warmth", "ways"),
    "day": ("day",), "contrast": ("contrast", "flash"), "reflecting": ("reflector", "scrapmeter"), "printing": ("counting", "contact"), "worthing": ("worth",),
    "keeping": ("backup", "restore", "page", "demo"),
}  # fmt: skip


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        print(version("firstsheet"))
        raise typer.Exit()


def begin(
    ctx: typer.Context,
    book: BookOption = None,
    json: JsonOption = False,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say which version this is.")
    ] = False,
) -> None:
    """One-off photographs in a camera the size of a room: plan a sheet, expose, run, judge, and a better next plan."""
    ctx.obj = Said(book, json)


@cache
def app(part: str | None = None) -> typer.Typer:
    """The commands of one part; of all, where none is named."""
    out = typer.Typer(
        name="firstsheet",
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"]},
        epilog="Exit codes: 0 done, 2 cannot be done as asked, 3 not in the book, 4 book busy or unreadable, 1 unforeseen.",
    )
    out.callback()(begin)
    for name in (part,) if part else PARTS:
        importlib.import_module(f"firstsheet.cli.{name}").register(out)
    return out


def part_of(arguments: Sequence[str]) -> str | None:
    """The part of the command that is named, where nothing but the book and --json stands before it; else None."""
    at = 0
    while at < len(arguments) and arguments[at].startswith("-"):
        if arguments[at] == "--book":
            at += 1
        elif arguments[at] != "--json" and not arguments[at].startswith("--book="):
            return None
        at += 1
    return next((part for part, names in PARTS.items() if at < len(arguments) and arguments[at] in names), None)


def main(arguments: list[str]) -> int:
    """Run one command; returns its exit code. No traceback ever reaches a person unasked."""
    try:
        return _ended(arguments)
    except (typer.Abort, KeyboardInterrupt):
        return face.INTERRUPTED
    except BrokenPipeError:
        # Whoever read our output has gone; nothing is left to say, not even at the interpreter's end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return face.DONE
    except Exception as error:
        if hasattr(error, "format_message"):  # the parser's own errors, whichever parser is underneath
            return _misread(arguments, error)
        return face.unforeseen(error)


def _ended(arguments: list[str]) -> int:
    """Run the command and write out what it printed, so that a reader who has gone is noticed here."""
    try:
        ended = app(part_of(arguments))(args=arguments, prog_name="firstsheet", standalone_mode=False)
        code = ended if isinstance(ended, int) else face.DONE
    except typer.Exit as end:
        code = int(end.exit_code)
    sys.stdout.flush()
    return code


def _misread(arguments: list[str], error: Exception) -> int:
    said = str(getattr(error, "format_message")()).rstrip(".")  # noqa: B009  no common type to name
    if "--json" in arguments:
        problem = {"where": "command", "asked": " ".join(arguments), "allowed": said + ".", "try": "firstsheet --help"}
        print(json.dumps({"refused": [problem], "kind": "asked"}, ensure_ascii=False, indent=2))
    elif said:
        ctx = getattr(error, "ctx", None)
        path = ctx.command_path if ctx else "firstsheet"
        print(f"{said}.\nSee: {path} --help", file=sys.stderr)
    return face.REFUSED


def run() -> None:
    """The installed command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # an old terminal without a sign for “−” still gets its answer
    sys.exit(main(sys.argv[1:]))


if __name__ == "__main__":
    run()
