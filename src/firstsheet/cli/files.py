"""Files a person names: read or written new, and said plainly when that cannot be."""

from __future__ import annotations

from pathlib import Path

from firstsheet.refusal import Refusal

LARGEST_BYTES = 40_000_000


def read_file(name: str, field: str) -> bytes:
    """The bytes of the file; Refusal if it is not there, not readable or too large."""
    path = Path(name).expanduser()
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)  # counted as it comes: not everything with a name knows its size
    except OSError as error:
        raise Refusal.one(
            field, name, f"A file that can be read ({error.strerror}).", "Check the path.", "missing"
        ) from error
    if len(data) > LARGEST_BYTES:
        raise Refusal.one(field, name, f"At most {LARGEST_BYTES // 1_000_000} MB.", "Send a smaller JPEG.")
    return data


def write_new(name: str, data: bytes) -> None:
    """Write a new file; Refusal rather than writing over anything."""
    try:
        with Path(name).expanduser().open("xb") as out:
            out.write(data)
    except FileExistsError as error:
        raise Refusal.one(
            "file", name, "A name that is free.", "Nothing was overwritten; choose another name."
        ) from error
    except OSError as error:
        raise Refusal.one(
            "file", name, f"A place that can be written ({error.strerror}).", "Check the path."
        ) from error
