"""The sheet ahead as words: what is touched next, what a slider's steps are called, what may be tried."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from firstsheet import wording
from firstsheet.acts import ahead_look

if TYPE_CHECKING:
    from firstsheet.acts.found import Found
    from firstsheet.book.store import Book

CORNERS = ("top left", "top right", "bottom right", "bottom left")
FIELDS = ("stops", "preflash", "filter", "light", "developer", "pack", "shows", "printed", "range", "wet", "colour", "flare", "pose", "depths", "lux", "lux_at", "aperture", "f_number", "time", "iso", "tone")
STEPS = tuple(n / 4 for n in range(-8, 9))


def tones() -> list[tuple[str, str]]:
    from firstsheet.light.words import tones as known

    return [(t.key, t.words) for t in known().values()]


def way_of(book: Book) -> str:
    from firstsheet.acts import plan
    from firstsheet.refusal import Refusal

    try:
        return plan.plan(book).way
    except Refusal:
        return str((book.get_setting("today") or {}).get("way") or "")


def others(book: Book) -> list[tuple[str, int]]:
    """Sheets of which a photo is kept, the newest first: to hold beside."""
    from firstsheet.acts.sheet import sheets

    return [(s.code, s.pictures[-1]) for s in sheets(book, 12) if s.pictures and not s.strip][:4]


def keepers(book: Book) -> list[tuple[str, str]]:
    """Kept sheets whose board was photographed: seconds can be told against them."""
    from firstsheet.acts import ahead
    from firstsheet.acts.sheet import sheets

    good = [s for s in sheets(book, 12) if s.judgement and s.judgement.get("kept") is not False and s.given_s and not s.strip]
    return [("", "none"), *((s.code, s.code) for s in good if (told := ahead.foretold(book, s.code)) and told["form"].get("face"))]


def touching(carried: dict[str, str], part: str) -> dict[str, Any]:
    """What to touch next in the photo as it lies."""
    on_board = carried.get("of", "board") == "board"
    if part == "corners":
        done = len(carried.get("corners", "").split())
        left = CORNERS[min(done, 3)]
        return {"asked": "corners", "title": f"Touch the {left} corner of the sheet", "part": "corners",
                "say": "As the photo lies on this screen. Then the next, clockwise; the board’s tilt is taken out by it."}  # fmt: skip
    if part == "lux_at":
        return {"asked": "lux_at", "title": "Touch where the lux meter was held", "part": "lux_at", "say": "Flat on the board, its cell towards the lens."}
    where = "on the board, where the face falls" if on_board else "the face"
    return {"asked": "face", "title": "Touch the face", "part": "", "say": f"Touch {where}: somewhere even. On the board the picture hangs upside down; leave it so." if on_board else f"Touch {where}."}


def touched(carried: dict[str, str], part: str, at: dict[str, str]) -> dict[str, str]:
    """The query after a touch."""
    place = f"{at['x']},{at['y']}"
    if part == "corners":
        corners = [*carried.get("corners", "").split(), place][:4]
        out = carried | {"corners": " ".join(corners)}
        return out if len(corners) == 4 else out | {"part": "corners"}
    return carried | {part or "face": place}


def came_touching(carried: dict[str, str]) -> dict[str, Any]:
    """What to touch next in the photo of the sheet that came."""
    if "white" not in carried:
        return {"asked": "white", "title": "Touch the white", "say": "The white card or paper beside the sheet, lit like it."}
    done = len(carried.get("corners", "").split())
    if done < 4:
        return {"asked": "corners", "title": f"Touch the {CORNERS[done]} corner of the picture", "say": "Of the picture, without its border, as it hangs upright; then clockwise."}
    return {"asked": ""}


def came_touched(carried: dict[str, str], at: dict[str, str]) -> dict[str, str]:
    place = f"{at['x']},{at['y']}"
    if "white" not in carried:
        return carried | {"white": place}
    return carried | {"corners": " ".join([*carried.get("corners", "").split(), place][:4])}


def steps(found: Found | None) -> list[tuple[str, str]]:
    """The slider's values and what each is called."""
    if found is None:
        return []
    return [(f"{s:g}", "as planned" if s == 0 else f"{wording.stops_apart(s)} {'more' if s > 0 else 'less'} light") for s in STEPS]


def flashes() -> list[tuple[str, str]]:
    """The preflash slider's values and what each is called."""
    return [(f"{n / 10:g}", f"{wording.share(n / 10)} of the threshold" if n else "none") for n in range(11)]


def options(way: str, developers: tuple[str, ...] = ()) -> dict[str, list[tuple[str, str]]]:
    """What may be tried; a value of nothing is what the plan says."""
    from firstsheet.light.spectrum import kinds
    from firstsheet.paper.response import way_of

    out = {
        "light": [("", "the plan’s"), *((k, v.words) for k, v in kinds().items())],
        "colour": [(k, v[0]) for k, v in ahead_look.TINTS.items()],
        "wet": [("no", "dry"), ("yes", "wet")],
        "outline": [("no", "plain"), ("yes", "dead blacks and blown whites outlined")],
    }
    if way and way_of(way)["sensitivity"] != "colour":
        out["filter"] = [(f, f or "none") for f in ahead_look.FILTERS]
    else:
        out["pack"] = []
    if developers:
        out["developer"] = [("", "the plan’s"), *((d, d) for d in developers)]
    if way == "paper_negative":
        out["shows"] = [("sheet", "the negative"), ("print", "its contact print")]
    return out


def composing(part: str, done: int) -> tuple[str, str]:
    """Title and sentence of the next touch."""
    if part == "corners":
        return f"Touch the {CORNERS[min(done, 3)]} corner of the sheet", "As the photo lies on this screen, then clockwise."
    if part == "head":
        return ("Touch the chin", "Then the crown.") if done == 0 else ("Touch the crown", "The top of the head, hair and all.")
    if part == "at":
        return "Touch the eyes", "Where there is no face, an edge: a collar, lettering."
    end = "upper" if done == 0 else "lower"
    return f"Touch the {end} end of an upright on the {part}", "A door frame, a window’s side: something that stands upright outside."
