"""./run hands over what was asked: to the page where only its options are given, else to the command."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A copy with an environment that only says what it was called with."""
    for name in ("run", "pyproject.toml", "constraints.txt"):
        shutil.copy(ROOT / name, tmp_path / name)
    bin = tmp_path / ".venv" / "bin"
    bin.mkdir(parents=True)
    for name, body in (("python", "exit 0"), ("pip", "exit 0"), ("firstsheet", 'echo "$@"')):
        (bin / name).write_text(f"#!/bin/sh\n{body}\n", encoding="utf-8")
        (bin / name).chmod(0o755)
    stamp = f'printf %s "$(cat pyproject.toml constraints.txt | cksum) {tmp_path.resolve()}" > .venv/.installed-plain'
    subprocess.run(["sh", "-c", stamp], cwd=tmp_path, check=True)
    return tmp_path


@pytest.mark.parametrize(
    ("said", "done"),
    [
        ([], "page"), (["--port", "9000"], "page --port 9000"), (["--port=9000"], "page --port=9000"), (["--lan"], "page --lan"),
        (["--lan", "--port", "9000"], "page --lan --port 9000"), (["page", "--port", "9000"], "page --port 9000"), (["--version"], "--version"),
        (["--book", "a b.sqlite", "plan"], "--book a b.sqlite plan"), (["plan", "--json"], "plan --json"),
    ],
)  # fmt: skip
def test_what_was_asked_is_handed_over(checkout: Path, said: list[str], done: str) -> None:
    found = subprocess.run(["sh", str(checkout / "run"), *said], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == done
