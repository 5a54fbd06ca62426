"""What a person owns: the camera room, boxes of paper, developers, meters. Each is kept as versions; the newest counts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet import quantities as q
from firstsheet import tables
from firstsheet.acts.door import Door, Form, short_name
from firstsheet.camera.barrel import Barrel
from firstsheet.camera.lens import Lens
from firstsheet.camera.room import Room
from firstsheet.exposure.hand import Hand
from firstsheet.paper.response import sense
from firstsheet.refusal import Problems, Refusal

if TYPE_CHECKING:
    from firstsheet.acts.reader import Reader
    from firstsheet.book.store import Book

KINDS = ("camera", "box", "developer", "meter")
OF_LENS = ("focal_sd_mm", "focal_how", "barrel", "abbe", "hole_mm")  # measured later, kept while the lens stays the same
SHUTTERS = {"cap": "lens cap by hand", "flap": "hand flap", "shutter": "mechanical shutter"}


@dataclass(frozen=True, slots=True)
class Owned:
    """A thing as kept: its kind, its name, its description (canonical units in the keys) and how often it was redescribed."""

    kind: str
    name: str
    body: dict[str, Any]


def add_camera(book: Book, form: Form) -> Owned:
    """Describe a camera room: lens (focal, f_number, coverage or circle, stops, pupil), board range and room size."""
    d = Door(form)
    name = d.must("name", short_name, "A name.", "Try “boathouse”.")
    focal = d.must("focal", q.length_mm, "The lens's focal length with its unit.", "Try “600 mm”.")
    f_number = d.must("f_number", q.f_number, "The widest f-number.", "Try “f/8”.")
    pupil = d.read("pupil", lambda t: q.plain_number(t, 0.2, 5.0))
    coverage = d.read("coverage", q.angle_deg)
    circle = d.read("circle", q.length_mm)
    stops = d.read("stops", stop_table)
    board_min = d.must("board_min", q.length_mm, "The nearest the board comes to the lens.", "Try “620 mm”.")
    board_max = d.must("board_max", q.length_mm, "The furthest the board goes.", "Try “1100 mm”.")
    length, width, height = (
        d.must(side, q.length_mm, f"The room's {side} inside.", "Try “2.4 m”.")
        for side in ("length", "width", "height")
    )
    shutter = d.pick("shutter", SHUTTERS) or "cap"
    own_speeds = d.read("speeds", speeds)
    d.close()
    body = {
        "focal_mm": focal, "f_number": f_number, "pupil": pupil or 1.0, "coverage_deg": coverage, "circle_mm": circle,
        "stops": list(stops or ()), "board_min_mm": board_min, "board_max_mm": board_max, "length_mm": length,
        "width_mm": width, "height_mm": height, "shutter": shutter, "speeds_s": list(own_speeds or ()),
    }  # fmt: skip
    lens_of(body), room_of(body)  # refuse here what the optics would refuse later
    before = next((o.body for o in owned(book, "camera") if o.name == name), {})
    same_lens = before.get("focal_mm") == focal and before.get("f_number") == f_number
    for key in ("hand", "marks", "walls", *(OF_LENS if same_lens else ())):
        if key in before and (key != "marks" or body["speeds_s"] == before["speeds_s"]):
            body[key] = before[key]
    return _keep(book, "camera", str(name), body)


def measured(book: Book, camera: Owned, more: dict[str, Any]) -> Owned:
    """Keep what was measured of a camera, as a new description of it."""
    body = camera.body | more
    lens_of(body), room_of(body)
    return _keep(book, "camera", camera.name, body)


def todays_camera(reader: Reader, name: str | None) -> Owned:
    """The camera of that name, or today's, or the only one there is."""
    return one(reader, "camera", name or (reader.get_setting("today") or {}).get("camera"))


def add_box(book: Book, form: Form) -> Owned:
    """Describe a box of paper: what it is, its size, how many sheets, what one costs, when it was opened, what its label says."""
    d = Door(form)
    name = d.must("name", short_name, "A short name for the box.", "Try “box D”.")
    papers = tables.load("papers")
    paper = d.pick("paper", papers)
    if paper is None and d.said("paper") is None:
        d.problems.add("paper", "", "One of: " + ", ".join(papers) + ".", "Say what the paper is.")
    size = d.must("size", q.sheet_size_mm, "Width and height with a unit.", "Try “12x16 in”.")
    sheets = d.must("sheets", q.count, "How many sheets are in it.", "Count them, or take the number on the label.")
    cost = d.read("cost", q.money)
    opened = d.read("opened", q.day)
    iso_p = d.read("iso_p", lambda t: q.plain_number(t, 1.0, 5000.0))
    ei = d.read("ei", lambda t: q.plain_number(t, 0.01, 1000.0))
    ei_sd = d.read("ei_sd", lambda t: q.plain_number(t, 0.02, 3.0))
    base = d.pick("base", ("rc", "fibre")) or "rc"
    if iso_p is not None and paper and all(sense(way) < 0 for way in papers[paper]["ways"]):
        d.problems.add(
            "iso_p", iso_p, "ISO P is defined for paper that light darkens [ISO-6846].",
            "Leave it out; an exposure index you found yourself can be said instead.",
        )  # fmt: skip
    if ei_sd is not None and ei is None:
        d.problems.add(
            "ei_sd", ei_sd, "A ± in stops goes with an EI of your own.", "Say the EI too, or leave both out."
        )
    d.close()
    assert size is not None
    body = {
        "paper": paper, "width_mm": size[0], "height_mm": size[1], "sheets": sheets, "base": base,
        "cost": cost[0] if cost else None, "currency": cost[1] if cost else "",
        "opened": opened.isoformat() if opened else None, "iso_p": iso_p, "ei": ei, "ei_sd": ei_sd,
    }  # fmt: skip
    return _keep(book, "box", str(name), body)


def add_developer(book: Book, form: Form) -> Owned:
    """Name a developer and say which kind it is."""
    d = Door(form)
    name = d.must("name", short_name, "A short name.", "Try “coffee”.")
    kind = d.pick("kind", tables.load("developers")) or "paper"
    d.close()
    return _keep(book, "developer", str(name), {"kind": kind})


def add_meter(book: Book, form: Form) -> Owned:
    """Name a meter and say which kind it is."""
    d = Door(form)
    name = d.must("name", short_name, "A short name.", "Try “my meter”.")
    kind = d.pick("kind", tables.load("meters")) or "hand"
    d.close()
    return _keep(book, "meter", str(name), {"kind": kind})


ADD = {"camera": add_camera, "box": add_box, "developer": add_developer, "meter": add_meter}


def owned(reader: Reader, kind: str) -> list[Owned]:
    """Everything of a kind, newest description of each."""
    return [Owned(kind, t["name"], t["body"]) for t in reader.things(kind)]


def one(reader: Reader, kind: str, name: str | None) -> Owned:
    """The thing of that name; with no name, the only one there is. Refuses with the names there are."""
    have = owned(reader, kind)
    for o in have:
        if o.name == name:
            return o
    if name is None and len(have) == 1:
        return have[0]
    names = ", ".join(o.name for o in have) or "none yet"
    add = f"Add one: firstsheet own {kind} … or the page “What you own”."
    raise Refusal.one(kind, name or "", f"In the book: {names}.", "Name one of them. " + add, kind="missing")


def way_of_paper(problems: Problems, box: Owned, way: str | None, where: str = "way") -> str | None:
    """The way said, if this paper can go it; else the paper's first. `where` is the field that is told of."""
    ways: list[str] = tables.load("papers")[box.body["paper"]]["ways"]
    if way is None or way in ways:
        return way or ways[0]
    paper = tables.load("papers")[box.body["paper"]]["words"]
    asked = way if where == "way" else box.name
    problems.add(where, asked, f"Box {box.name} is {paper}: {', '.join(ways)}.", "Choose another box or another way of working.")
    return None


def lens_of(body: dict[str, Any]) -> Lens:
    return Lens(
        name="lens", focal_mm=body["focal_mm"], f_number=body["f_number"], pupil=body["pupil"],
        coverage_deg=body["coverage_deg"], circle_mm=body["circle_mm"], stops=tuple(body["stops"]),
        barrel=Barrel(**body["barrel"]) if body.get("barrel") else None,
    )  # fmt: skip


def hand_of(body: dict[str, Any]) -> Hand:
    """The hand that opens this camera: its own timing where it was learned."""
    return Hand(**body["hand"]) if body.get("hand") else Hand()


def room_of(body: dict[str, Any]) -> Room:
    return Room(
        board_min_mm=body["board_min_mm"], board_max_mm=body["board_max_mm"], length_mm=body["length_mm"],
        width_mm=body["width_mm"], height_mm=body["height_mm"],
    )  # fmt: skip


def stop_table(text: str) -> tuple[float, ...]:
    return tuple(sorted({q.f_number(part) for part in text.replace(",", " ").split()}))


def speeds(text: str) -> tuple[float, ...]:
    return tuple(sorted({q.duration_s(part, bare="s") for part in text.replace(",", " ").split()}))


def _keep(book: Book, kind: str, name: str, body: dict[str, Any]) -> Owned:
    book.add_thing(kind, name, body)
    return Owned(kind, name, body)
