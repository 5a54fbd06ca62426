"""The house itself: sizes, names, words that must not be in it, hosts that must not be in it."""

from __future__ import annotations

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "firstsheet"
MOST_LINES, MOST_PARAMETERS, MOST_FUNCTION_LINES = 400, 7, 60
MODULES = sorted(SOURCE.rglob("*.py"))
TEXT = {".py", ".md", ".toml", ".csv", ".html", ".js", ".css", ".txt", ".sh", ".cfg", ".ini", ".svg", ".json", ""}


def tracked() -> list[Path]:
    """Every text file of the project: what git knows, or all that lies here where there is no git."""
    done = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    names = done.stdout.splitlines() if done.returncode == 0 and done.stdout else []
    if not names:
        skip = {".venv", ".git", "demo", "__pycache__", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis"}
        names = [str(p.relative_to(ROOT)) for p in ROOT.rglob("*") if p.is_file() and not skip & set(p.parts)]
    return [ROOT / n for n in names if (ROOT / n).is_file() and (ROOT / n).suffix in TEXT]


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(SOURCE)))
def test_no_module_is_too_long(module: Path) -> None:
    assert len(module.read_text(encoding="utf-8").splitlines()) < MOST_LINES


def functions() -> list[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    return [
        (f"{m.relative_to(SOURCE)}:{node.name}", node)
        for m in MODULES
        for node in ast.walk(ast.parse(m.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]


def test_no_function_is_longer_than_a_screen() -> None:
    long = {
        name: node.end_lineno - node.lineno + 1
        for name, node in functions()
        if node.end_lineno - node.lineno >= MOST_FUNCTION_LINES
    }
    assert not long


def test_functions_take_few_parameters() -> None:
    """At most seven, `self` aside. A command's options and a route's fields are its form, and are not counted here; nor are
    the named extras of one optical question and of one reading, which are its form too."""
    faces = ("cli/", "web/")
    forms = ("camera/room.py:look", "light/")
    many = {}
    for name, node in functions():
        if name.startswith(faces + forms):
            continue
        a = node.args
        count = len([p for p in (*a.posonlyargs, *a.args, *a.kwonlyargs) if p.arg not in ("self", "cls")])
        if count > MOST_PARAMETERS:
            many[name] = count
    assert not many


@pytest.mark.parametrize(
    "module", [m for m in MODULES if m.name != "__init__.py"], ids=lambda m: str(m.relative_to(SOURCE))
)
def test_every_module_says_what_it_is(module: Path) -> None:
    assert ast.get_docstring(ast.parse(module.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    "module",
    [m for m in MODULES if m.name == "__init__.py" and m.parent != SOURCE],
    ids=lambda m: str(m.relative_to(SOURCE)),
)
def test_init_files_are_nearly_empty(module: Path) -> None:
    assert len(module.read_text(encoding="utf-8").splitlines()) <= 20


# Spelled apart so that this file may be searched too.
FORBIDDEN = [
    "/wo" + "rk/",
    "checks" + r"\.md",
    "trade" + r"\.md",
    r"\bTODO\b|\bFIXME\b|\bXXX\b",
    r"(?:issue|ticket|pull request) ?#\d+",
    r"/tm" + r"p/(?:fs|v)\b",
    "trans" + "cri" + "pt|se" + "ed docu" + "ment",
]


@pytest.mark.parametrize("pattern", FORBIDDEN)
def test_forbidden_words_are_nowhere(pattern: str) -> None:
    found = re.compile(pattern, re.IGNORECASE if pattern.islower() else 0)
    here = Path(__file__)
    hits = [
        f"{p.relative_to(ROOT)}: {m[0]}"
        for p in tracked()
        if p != here
        for m in found.finditer(p.read_text(encoding="utf-8", errors="replace"))
    ]
    assert not hits


def test_no_registry_or_file_host_is_named() -> None:
    """No lock file, and in constraints only names and versions."""
    assert not [p for p in tracked() if p.name in ("uv.lock", "pylock.toml", "package-lock.json")]
    for line in (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines():
        assert re.fullmatch(r"[a-z0-9][a-z0-9._-]*==[0-9][\w.+!]*(?: ; [\w\s.'\"=<>!()]+)?", line), line


def test_no_page_reaches_out_to_the_network() -> None:
    """What the browser is given names no host but this one, the namespaces of drawings aside."""
    allowed = ("http://www.w3.org/", "http://127.0.0.1", "http://localhost")
    for p in (SOURCE / "web").rglob("*"):
        if p.suffix in (".html", ".js", ".css", ".svg"):
            for url in re.findall(r"https?://[^\s\"'<>)`]+", p.read_text(encoding="utf-8")):
                assert url.startswith(allowed), f"{p.name}: {url}"


def test_the_core_has_no_clock_and_no_chance() -> None:
    """Below the book nothing reads the time or draws lots but from a generator it is given."""
    lots = re.compile(
        r"\b(?:datetime\.now|time\.(?:time|monotonic)|random\.(?:random|gauss)|secrets\.)\b|\burllib\.request|\bimport requests\b"
    )
    for folder in ("light", "camera", "paper", "exposure", "trays", "belief", "chemistry"):
        for module in (SOURCE / folder).rglob("*.py"):
            assert not lots.search(module.read_text(encoding="utf-8")), module


def test_shipped_tables_say_whose_they_are() -> None:
    """Each table tells where its figures come from: in its head for all, or at each entry."""
    for table in (SOURCE / "tables").glob("*.toml"):
        assert "source" in table.read_text(encoding="utf-8").lower(), table.name


def test_run_is_plain_shell() -> None:
    for script in ("run", ".ci/run"):
        path = ROOT / script
        assert path.stat().st_mode & 0o111
    assert (ROOT / "run").read_text(encoding="utf-8").startswith("#!/bin/sh\n")
    assert subprocess.run(["sh", "-n", str(ROOT / "run")], check=False).returncode == 0
