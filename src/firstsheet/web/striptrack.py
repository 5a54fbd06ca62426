"""The sound files that lead through a test strip in the dark."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from firstsheet.acts import strip_track
from firstsheet.web import bodies, desk, stripwords

router = APIRouter(include_in_schema=False)


@router.get("/strips/track.wav")
def of_making(request: Request) -> Response:
    """Of a strip as the query says it is made; the fields are those of the page “Make one”."""
    asked = {k: v for k, v in bodies.query(request).items() if k in stripwords.MAKE_FIELDS}
    return _sound(strip_track.wav_of_making(desk.book_of(request), stripwords.making(asked)))


@router.get("/book/{code}/strip.wav")
def of_sheet(request: Request, code: str) -> Response:
    """Of a test strip that was kept as a sheet."""
    return _sound(strip_track.wav_of_sheet(desk.book_of(request), bodies.sheet_code(code)))


def _sound(data: bytes) -> Response:
    return Response(data, media_type="audio/wav", headers={"Content-Disposition": 'inline; filename="strip.wav"'})
