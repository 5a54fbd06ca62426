"""A command builds its own part of the command line alone: the parts and their names agree, and the right one is found."""

from __future__ import annotations

import importlib

import pytest
import typer

from firstsheet.cli.main import PARTS, app, main, part_of


@pytest.mark.parametrize("part", PARTS)
def test_a_part_registers_what_is_written_of_it(part):
    own = typer.Typer()
    importlib.import_module(f"firstsheet.cli.{part}").register(own)
    assert (*(c.name for c in own.registered_commands), *(g.name for g in own.registered_groups)) == PARTS[part]


def test_all_of_them_are_offered_where_none_is_named():
    whole = app()
    assert [c.name for c in whole.registered_commands] + [g.name for g in whole.registered_groups] == [
        *(n for part in PARTS for n in _commands(part)), *(n for part in PARTS for n in _groups(part))
    ]  # fmt: skip


def _commands(part):
    return [c.name for c in app(part).registered_commands]


def _groups(part):
    return [g.name for g in app(part).registered_groups]


@pytest.mark.parametrize(("said", "part"), [
    (["pack", "told", "--colour", "blue"], "packing"), (["--book", "plan", "own", "box"], "owning"), (["--book=x", "--json", "day"], "day"),
    (["--help"], None), ([], None), (["--help", "pack"], None), (["nosuch"], None), (["--book"], None), (["--book", "pack"], None), (["--version", "plan"], None),
])  # fmt: skip
def test_the_part_of_the_command_that_is_named(said, part):
    assert part_of(said) == part


def test_what_is_not_there_is_said_as_before(capsys):
    assert main(["nosuch"]) == 2
    assert "No such command" in capsys.readouterr().err
    assert main(["--help"]) == 0
    help_text = capsys.readouterr().out
    assert all(f"  {name} " in help_text for names in PARTS.values() for name in names)
