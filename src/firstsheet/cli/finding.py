"""How an answer about lens and room is printed: the answer, its figures, its tables, what to mind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from firstsheet.cli.face import Shown, wrapped

if TYPE_CHECKING:
    from firstsheet.acts.found import Found, Table


def shown(found: Found, *more: str) -> Shown:
    """The answer as data and as lines; `more` are lines of this command's own at the end."""
    lines = [line for c in found.cautions for line in wrapped(c)]
    lines += [*([""] if lines else []), *wrapped(found.first)]
    for f in found.figures:
        lines += wrapped(f"{f.label}: {f.said}{', ' + f.aside if f.aside else ''}.".replace("..", "."), "  ", "    ")
    for t in found.tables:
        lines += ["", t.title + ":", *of_table(t)]
    lines += [line for n in found.notes for line in ["", *wrapped(n)]]
    if found.kept:
        lines += ["", "Kept with the camera."]
    elif found.keeps:
        lines += ["", "Say the same with --keep, and it is kept with the camera."]
    return Shown(found, [*lines, *more])


def of_table(t: Table) -> list[str]:
    """Columns as wide as their widest word."""
    rows = [t.head, *t.rows]
    wide = [max(len(r[i]) for r in rows) for i in range(len(t.head))]
    return ["  " + "  ".join(cell.ljust(w) for cell, w in zip(r, wide, strict=True)).rstrip() for r in rows]
