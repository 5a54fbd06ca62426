"""Names of files and books that no careful person would give."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from firstsheet.book import place
from firstsheet.cli.files import read_file
from firstsheet.refusal import Refusal


def test_a_path_that_no_system_has() -> None:
    with pytest.raises(Refusal, match="book"):
        place.resolve("x" * 5000)


@pytest.mark.skipif(not Path("/dev/zero").exists() or sys.platform == "win32", reason="needs /dev/zero")
def test_a_file_that_never_ends() -> None:
    with pytest.raises(Refusal, match="40 MB"):
        read_file("/dev/zero", "picture")
