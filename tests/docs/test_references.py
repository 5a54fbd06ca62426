"""Every key in square brackets is in the bibliography, every line of it is used; dependencies are all explained; links lead somewhere."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
# A name and a year or number, capitals with dashes, or capitals with a number; a remark may follow a comma.
KEY = re.compile(
    r"\[([A-Z][A-Za-z]+(?:-[A-Za-z0-9]+)*-[0-9][0-9.-]*|[A-Z]{2,}(?:-[A-Z0-9.]+)+|[A-Z]{2,}[0-9]{3,}|CONRAD)(?:,[^\]]*)?\]"
)
SEARCHED = [
    *(ROOT / "src").rglob("*"),
    *(ROOT / "tests").rglob("*"),
    *(ROOT / "authorities").rglob("*"),
    *(ROOT / "bench").rglob("*"),
    *DOCS.rglob("*.md"),
    *ROOT.glob("*.md"),
]


def listed() -> list[str]:
    text = (DOCS / "bibliography.md").read_text(encoding="utf-8")
    return re.findall(r"^\| `\[([^\]]+)\]`", text, re.MULTILINE)


def used() -> dict[str, str]:
    out: dict[str, str] = {}
    for path in SEARCHED:
        if path.suffix in (".py", ".toml", ".csv", ".md", ".html", ".js") and path.name not in (
            "bibliography.md",
            Path(__file__).name,
        ):
            for key in KEY.findall(path.read_text(encoding="utf-8")):
                out.setdefault(key, str(path.relative_to(ROOT)))
    return out


def test_every_key_used_is_listed() -> None:
    missing = {key: where for key, where in used().items() if key not in listed()}
    assert not missing


def test_no_key_is_listed_twice() -> None:
    keys = listed()
    assert len(keys) == len(set(keys)) > 20
    assert KEY.fullmatch(f"[{keys[0]}]")


def test_every_dependency_is_explained() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    text = (DOCS / "dependencies.md").read_text(encoding="utf-8")
    wanted = project["dependencies"] + [d for extra in project["optional-dependencies"].values() for d in extra]
    for said in wanted:
        name = re.split(r"[\[<>=~! ]", said)[0]
        assert re.search(rf"\b{re.escape(name)}\b", text), name


@pytest.mark.parametrize("page", [*DOCS.rglob("*.md"), *ROOT.glob("*.md")], ids=lambda p: str(p.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
        if not target.startswith(("http://", "https://", "mailto:")):
            assert (page.parent / target).exists(), target
