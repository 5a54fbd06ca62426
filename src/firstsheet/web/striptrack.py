"""The sound files that lead through a test strip or a sheet in the dark."""

from __future__ import annotations

import gzip
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from firstsheet.acts import sheet_track, sound_marks, strip_track
from firstsheet.web import bodies, desk, soundwords, stripwords
from firstsheet.web.api import said

Body = Annotated[dict[str, Any], Depends(bodies.json_object)]
router = APIRouter(include_in_schema=False)


@router.get("/strips/track.wav")
def of_making(request: Request) -> Response:
    """Of a strip as the query says it is made; the fields are those of the page “Make one”."""
    asked = {k: v for k, v in bodies.query(request).items() if k in stripwords.MAKE_FIELDS}
    return _sound(request, strip_track.wav_of_making(desk.book_of(request), stripwords.making(asked)))


@router.get("/book/{code}/strip.wav")
def of_sheet(request: Request, code: str) -> Response:
    """Of a test strip that was kept as a sheet."""
    return _sound(request, strip_track.wav_of_sheet(desk.book_of(request), bodies.sheet_code(code)))


@router.get("/book/{code}/sheet.wav")
def of_whole_sheet(request: Request, code: str) -> Response:
    """Of a sheet, from the box to white light; with `part=exposure` of its exposure alone."""
    alone = bodies.query(request).get("part") == soundwords.EXPOSURE
    data = sheet_track.wav(desk.book_of(request), bodies.sheet_code(code), exposure_only=alone)
    return _sound(request, data, "sheet.wav")


@router.get("/volume.wav")
def volume(request: Request) -> Response:
    """To try the volume before a box is opened; `how` as in a sheet's sound."""
    return _sound(request, sheet_track.volume_wav(bodies.query(request).get("how", "cap")), "volume.wav")


@router.get("/api/sheets/{code}/sound")
def as_data(request: Request, code: str) -> JSONResponse:
    alone = bodies.query(request).get("part") == soundwords.EXPOSURE
    return said(sheet_track.of(desk.book_of(request), bodies.sheet_code(code), exposure_only=alone))


@router.post("/api/sheets/{code}/sound")
def marks(request: Request, code: str, body: Body) -> JSONResponse:
    """Marks made while the sound ran, each kept once; `kept` are those a device may forget."""
    found = body.get("marks")
    kept = sound_marks.mark(desk.book_of(request), bodies.sheet_code(code), found if isinstance(found, list) else ())
    return JSONResponse({"kept": kept.client_ids, "differing": kept.differing})


def _sound(request: Request, data: bytes, name: str = "strip.wav") -> Response:
    """A sound file; most of it is silence, so packed it goes over a weak radio in a twentieth of the time."""
    headers = {"Content-Disposition": f'inline; filename="{name}"', "Vary": "Accept-Encoding"}
    if "gzip" in request.headers.get("accept-encoding", ""):
        data, headers = gzip.compress(data, 1, mtime=0), headers | {"Content-Encoding": "gzip"}
    return Response(data, media_type="audio/wav", headers=headers)
