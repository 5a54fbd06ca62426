"""The sound files that lead through a test strip or a sheet in the dark."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from firstsheet.acts import sheet_track, strip_track
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


@router.get("/book/{code}/sheet.wav")
def of_whole_sheet(request: Request, code: str) -> Response:
    """Of a sheet: its exposure; for a paper that bears no light, its run too."""
    return _sound(sheet_track.wav(desk.book_of(request), bodies.sheet_code(code)), "sheet.wav")


def _sound(data: bytes, name: str = "strip.wav") -> Response:
    return Response(data, media_type="audio/wav", headers={"Content-Disposition": f'inline; filename="{name}"'})
