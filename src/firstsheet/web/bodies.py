"""What was sent, read while it arrives: a form, a JSON object, a picture. Whatever it is, it ends as text or a Refusal."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request

from firstsheet.refusal import Refusal
from firstsheet.web.guard import PHOTO_BYTES, too_large

MOST_FIELDS = 60


@dataclass(frozen=True, slots=True)
class Sent:
    """A form as it was sent: its fields, each with its last value; those named often, joined by commas; a picture."""

    fields: dict[str, str]
    picture: bytes | None = None


async def form(request: Request) -> Sent:
    """The form of a page. Fields left empty are left out: nothing said is not an empty word."""
    try:
        async with request.form(max_files=2, max_fields=MOST_FIELDS, max_part_size=64 * 1024) as got:
            fields: dict[str, str] = {}
            picture: bytes | None = None
            for name, value in got.multi_items():
                if isinstance(value, UploadFile):
                    data = await value.read()
                    if len(data) > PHOTO_BYTES:
                        raise too_large(len(data), PHOTO_BYTES)
                    picture = data or picture
                elif value.strip():
                    fields[name] = f"{fields[name]},{value}" if name == "faults" and name in fields else value
    except (HTTPException, ClientDisconnect, UnicodeError, ValueError) as error:
        raise Refusal.one("form", "", "A form of one of these pages.", "Go back and send it again.") from error
    _sayable(fields)
    return Sent(fields, picture)


async def json_object(request: Request) -> dict[str, Any]:
    """A JSON object; an empty body is an empty one."""
    data = await request.body()
    if not data.strip():
        return {}
    try:
        found = json.loads(data, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise Refusal.one(
            "body", data[:40].decode("utf-8", "replace"), "JSON in UTF-8.", "Check the commas."
        ) from error
    if not isinstance(found, dict):
        raise Refusal.one("body", type(found).__name__, "A JSON object.", "Wrap it in { }.")
    _sayable(found)
    return found


def query(request: Request) -> dict[str, str]:
    """The query as a form."""
    fields = {k: v for k, v in request.query_params.items() if v.strip()}
    _sayable(fields)
    return fields


def whole_number(text: str, what: str) -> int:
    """A number in an address or a query; one that cannot be in a book is missing from it."""
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise Refusal.one(what, text[:20], f"The number of a {what} that is in the book.", "", "missing")
    return int(text)


def sheet_code(text: str) -> str:
    """A sheet's code from an address, or a refusal before any book is asked."""
    if not (text.isascii() and text.isalnum() and len(text) <= 8):
        raise Refusal.one(
            "sheet", text[:20], "The code of a sheet in the book.", "Look on the back of the sheet.", "missing"
        )
    return text.upper()


def _no_constant(name: str) -> Any:
    raise ValueError(f"{name} is no JSON")


def _sayable(thing: Any) -> None:
    """Half a character cannot be written down again."""
    try:
        json.dumps(thing, ensure_ascii=False).encode("utf-8")
    except (UnicodeError, RecursionError) as error:
        raise Refusal.one("body", "", "Text in whole characters.", "Write it again.") from error
