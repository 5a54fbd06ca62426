"""`photo`: a photograph as a light meter. `range`: its tones on this paper. `meters`: how two instruments differ."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from firstsheet import wording
from firstsheet.cli.face import Here, Shown, act, form, wrapped
from firstsheet.cli.files import read_file, write_new
from firstsheet.cli.owning import words
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.acts.photo import PhotoIn, Spot


def register(app: typer.Typer) -> None:
    act(app, "photo")(photo)
    act(app, "range")(range_of)
    act(app, "meters")(meters)


def photo(
    here: Here,
    file: Annotated[str, typer.Argument(metavar="FILE", help="A JPEG, HEIC or PNG as the phone made it.")],
    at: Annotated[str | None, words("The spot to read, across and down: “0.5,0.4”; 0,0 is top left.", "X,Y")] = None,
    tone: Annotated[str | None, words("Which tone lies there: grey_card, face_light, face_mid, …")] = None,
    points: Annotated[str | None, words("Several places: “0.5,0.4 face_light; 0.3,0.1 other sky”; “other” only joins the range.")] = None,
    name: Annotated[str | None, words("What the spot is, in your words: face, shirt, sky.")] = None,
    join: Annotated[bool, typer.Option("--join", help="Keep what was touched before in this photo.")] = False,
    really: Annotated[bool, typer.Option("--really", help="It looks like a screenshot, and is a photo of the scene.")] = False,
    f_number: Annotated[str | None, words("What the file does not say: its f-number.")] = None,
    time: Annotated[str | None, words("Its exposure time.")] = None,
    iso: Annotated[str | None, words("Its ISO.")] = None,
    compare: Annotated[str | None, words("What your own meter says of the same spot: “EV 11”. Remembered.")] = None,
) -> Shown:
    """Read the light from a photo. Its position data is never stored."""
    from firstsheet.acts import photo as photos

    if at is None and (compare or tone or name):
        raise Refusal.one("at", "", "Where in the photo: across and down, each 0 to 1.", "Try --at 0.5,0.4")
    if at is not None and points is not None:
        raise Refusal.one("points", points, "Either --at or --points.", "Give all places with --points.")
    data = read_file(file, "photo")
    more = {"join": "yes" if join else None, "really": "yes" if really else None, "f_number": f_number, "time": time, "iso": iso}
    answer: dict[str, Any] = {}
    with here.writing() as book:
        answer["photo"] = got = photos.take_in(book, data)
        lines = _taken(got)
        if at is not None:
            x, _, y = at.replace(";", ",").partition(",")
            said = form(x=x.strip(), y=y.strip(), tone=tone, name=name, **more)
            answer["spot"] = spot = photos.spot(book, got.picture, said)
            lines += _touched(spot, "There")
            if compare:
                answer["compared"] = found = photos.compare(book, {"reading": str(spot.reading), "own": compare})
                lines += wrapped(found.words)
            else:
                lines.append("It is now the reading for this sheet.")
        if points is not None:
            answer["spots"] = found_all = photos.spots(book, got.picture, form(points=points, **more))
            lines += [line for s in found_all for line in _touched(s, s.name[:1].upper() + s.name[1:])]
            lines.append("On the paper: firstsheet range")
    return Shown(answer, lines)


def _touched(spot: Spot, what: str) -> list[str]:
    least = "at least " if spot.at_least else ""
    place = "for the range alone" if spot.only_range else f"placed as {spot.tone.replace('_', ' ')}"
    lines = [f"{what}: {least}{wording.luminance(spot.luminance_cdm2)}, {wording.stops_pm(spot.sd_stops)}, {place}."]
    return lines + [line for w in spot.warnings for line in wrapped(w, "  ")]


def range_of(
    here: Here,
    keep: Annotated[str | None, words("Keep it with this sheet.", "SHEET")] = None,
    kept: Annotated[str | None, words("Show what was kept with this sheet.", "SHEET")] = None,
    leave_out: Annotated[str | None, words("Leave a tone out again.", "NAME")] = None,
    drawing: Annotated[str | None, words("Also draw it into this file.", "FILE.svg")] = None,
) -> Shown:
    """The scene's tones on this paper at the planned exposure: which hold detail, which are dead black or blown white."""
    from firstsheet.acts import placed

    if kept:
        with here.reading() as reader:
            was = placed.kept(reader, kept)
        if was is None:
            raise Refusal.one("kept", kept, "A sheet with a range kept.", f"Keep it: firstsheet range --keep {kept}", "missing")
        return Shown(was, [*wrapped(was["says"]), *[line for t in was["tones"] for line in wrapped(t["words"], "  ", "    ")]])
    if keep or leave_out:
        with here.writing() as book:
            if leave_out:
                placed.leave_out(book, leave_out)
            r = placed.keep(book, keep) if keep else placed.placed(book)
    else:
        with here.reading() as reader:
            r = placed.placed(reader)
    lines = [*wrapped(r.says), ""]
    lines += [line for t in r.tones for line in wrapped(t.words, "  ", "    ")]
    low, high = (f"{s:+.1f}".replace("-", "−") for s in r.holds)
    lines += ["", *wrapped(f"The paper holds detail from {low} to {high} stop of mid-tone, by {r.curve}."), *wrapped(r.placement)]
    lines += [line for n in r.notes for line in wrapped(n)]
    if drawing:
        write_new(drawing, r.scale_svg.encode())
        lines.append(f"Drawn into {drawing}.")
    if keep:
        lines.append(f"Kept with sheet {keep}.")
    return Shown(r, lines)


def meters(
    here: Here,
    compare: Annotated[str | None, words("Two of your meters on one thing: “old: EV 11.5; new: EV 11”. Remembered.", "NAME: READING; …")] = None,
    take_back: Annotated[str | None, words("A comparison that shall count no longer: its name as listed.", "NAME")] = None,
) -> Shown:
    """How your instruments differ, as compared; each counts in every plan until it is taken back."""
    from firstsheet.acts import meters as two
    from firstsheet.acts import photo as photos

    if compare and take_back:
        raise Refusal.one("compare", compare, "One of --compare and --take-back.", "Do one, then the other.")
    first: list[str] = []
    if compare:
        with here.writing() as book:
            first = wrapped(two.compare(book, {"readings": compare}).words)
            found = photos.offsets(book)
    elif take_back:
        with here.writing() as book:
            found = photos.take_back(book, take_back)
    else:
        with here.reading() as reader:
            found = photos.offsets(reader)
    lines = [photos.offset_words(o) for o in found] or ["Nothing was compared yet: firstsheet photo FILE --at X,Y --tone TONE --compare “EV 11”"]
    return Shown({"comparisons": found}, [*first, *[line for one in lines for line in wrapped(one)]])


def _taken(got: PhotoIn) -> list[str]:
    f_number = wording.f_number(got.f_number) if got.f_number else None
    time = wording.seconds(got.time_s) if got.time_s else None
    said = [f_number, time, f"ISO {got.iso:g}" if got.iso else None]
    exposure = ", ".join(part for part in said if part) or "nothing of its exposure"
    lines = wrapped(f"Photo {got.picture}, {got.width} × {got.height}: it says {exposure}.")
    if got.missing:
        lines += wrapped(f"It does not say its {' or '.join(m.replace('_', '-') for m in got.missing)}.")
    return lines + [line for w in got.warnings for line in wrapped(w, "  ")]
