"""`photo`: a photograph as a light meter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import read_file
from firstsheet.cli.owning import words
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.photo import PhotoIn


def register(app: typer.Typer) -> None:
    act(app, "photo")(photo)


def photo(
    here: Here,
    file: Annotated[str, typer.Argument(metavar="FILE", help="A JPEG, HEIC or PNG as the phone made it.")],
    at: Annotated[str | None, words("The spot to read, across and down: “0.5,0.4”; 0,0 is top left.", "X,Y")] = None,
    tone: Annotated[str | None, words("Which tone lies there: grey_card, face_light, face_mid, …")] = None,
    f_number: Annotated[str | None, words("What the file does not say: its f-number.")] = None,
    time: Annotated[str | None, words("Its exposure time.")] = None,
    iso: Annotated[str | None, words("Its ISO.")] = None,
    compare: Annotated[str | None, words("What your own meter says of the same spot: “EV 11”. Remembered.")] = None,
) -> Shown:
    """Read the light from a photo. Its position data is never stored."""
    from firstsheet.acts import photo as photos

    if at is None and (compare or tone):
        raise Refusal.one("at", "", "Where in the photo: across and down, each 0 to 1.", "Try --at 0.5,0.4")
    data = read_file(file, "photo")
    answer: dict[str, Any] = {}
    with here.writing() as book:
        answer["photo"] = got = photos.take_in(book, data)
        lines = _taken(got)
        if at is not None:
            x, _, y = at.replace(";", ",").partition(",")
            said = form(x=x.strip(), y=y.strip(), tone=tone, f_number=f_number, time=time, iso=iso)
            answer["spot"] = spot = photos.spot(book, got.picture, said)
            least = "at least " if spot.at_least else ""
            place = spot.tone.replace("_", " ")
            lines += [
                f"There: {least}{wording.luminance(spot.luminance_cdm2)}, {wording.stops_pm(spot.sd_stops)}, placed as {place}."
            ]
            lines += [line for w in spot.warnings for line in wrapped(w, "  ")]
            if compare:
                answer["compared"] = found = photos.compare(book, {"reading": str(spot.reading), "own": compare})
                lines += wrapped(found.words)
            else:
                lines.append("It is now the reading for this sheet.")
    return Shown(answer, lines)


def _taken(got: PhotoIn) -> list[str]:
    f_number = wording.f_number(got.f_number) if got.f_number else None
    time = wording.seconds(got.time_s) if got.time_s else None
    said = [f_number, time, f"ISO {got.iso:g}" if got.iso else None]
    exposure = ", ".join(part for part in said if part) or "nothing of its exposure"
    lines = wrapped(f"Photo {got.picture}, {got.width} × {got.height}: it says {exposure}.")
    if got.missing:
        lines += wrapped(f"It does not say its {' or '.join(m.replace('_', '-') for m in got.missing)}.")
    return lines + [line for w in got.warnings for line in wrapped(w, "  ")]
