"""The stain two developers leave: base and mid-tone of both strips in one picture with a white, as L*a*b* and in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from firstsheet.acts import scraps
from firstsheet.acts.door import Door, Form
from firstsheet.answer import to_json
from firstsheet.refusal import Refusal

if TYPE_CHECKING:
    from firstsheet.book.store import Book

PLACES = ("white", "first_base", "second_base", "first_mid", "second_mid")
WHITER = 7 / 6  # of the card's light: the whitest paper base; common practice, no source
PICTURE_SAID = "two developers"
Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Colour:
    """One patch: L*, a*, b* with their doubt (1 sd), and words."""

    lightness: float
    a: float
    b: float
    lightness_sd: float
    ab_sd: float
    words: str


@dataclass(frozen=True, slots=True)
class Stain:
    """Colours of both strips under `illuminant` (2° observer), and the second's base and mid-tone less the first's.

    base_words, mid_words  what the second developer does to them beside the first
    """

    picture: int
    illuminant: str
    taken: str
    first_base: Colour
    second_base: Colour
    first_mid: Colour
    second_mid: Colour
    base_change: Colour
    mid_change: Colour
    base_words: str
    mid_words: str


def take_in(book: Book, number: int, data: bytes) -> int:
    """Keep a picture of both strips beside a white, upright and without position; its number."""
    from firstsheet.acts.scraps_developers import KIND
    from firstsheet.light.photo import receive

    t = scraps.row(book, number, KIND)
    got = receive(data)
    body = {"width": got.width, "height": got.height, "said": f"{PICTURE_SAID} {t['name']}"}
    return book.add_picture("image/jpeg", got.kept_jpeg, body)


def look_at(book: Book, number: int, data: bytes, form: Form) -> int:
    """Look at a picture sent with its places; what cannot be looked at is not kept. Fields as in `look`."""
    with book.begin():
        return look(book, number, take_in(book, number, data), form)


def size(book: Book, number: int, picture: int) -> tuple[int, int]:
    """Width and height of a picture kept of this comparison [px]."""
    body = _picture(book, number, picture)["body"]
    return int(body["width"]), int(body["height"])


def look(book: Book, number: int, picture: int, form: Form) -> int:
    """Measure the colours at the places touched and keep them with the comparison; its number after that.

    Fields: white, first_base, second_base, first_mid, second_mid: places “x,y” as fractions from left and top; illuminant (D50
    unless said, or D65); taken (photo unless said, or scan); white_density. Refusal with every problem.
    """
    from firstsheet import quantities as q
    from firstsheet.acts.scraps_developers import KIND
    from firstsheet.acts.versions import place
    from firstsheet.foresee.patches import touched

    row = _picture(book, number, picture)
    d = Door(form)
    at = {key: d.must(key, place, "A place “x,y”, each from 0 to 1.", "Touch it on the picture.") for key in PLACES}
    illuminant = (d.said("illuminant") or "D50").upper()
    if illuminant not in ("D50", "D65"):
        d.problems.add("illuminant", illuminant, "D50 or D65.", "Prints are judged in D50.")
    taken = d.pick("taken", ("photo", "scan")) or "photo"
    density = d.read("white_density", lambda t: q.plain_number(t, 0.0, 0.5))
    d.close()
    seen = touched(row["data"], {k: v for k, v in at.items() if v}, ("white",))
    _lightest(seen)
    rgb = {k: s.rgb for k, s in seen.items()}
    stain = _measured(rgb, picture, illuminant, taken, 0.05 if density is None else density)
    t = scraps.row(book, number, KIND)
    with book.begin():
        return book.add_thing(
            KIND, t["name"], t["body"] | {"stain": to_json(stain), "was": [*t["body"]["was"], t["id"]]}
        )


def _lightest(seen: dict[str, Any]) -> None:
    """Refuse a white that is not the white: some paper is whiter than card, but by a sixth at most."""
    most = max(s.luminance for s in seen.values())
    if most > WHITER * seen["white"].luminance:
        raise Refusal.one(
            "white",
            "darker than the paper",
            "The white card, the lightest of all.",
            "Touch the white card; see that nothing shades it.",
        )


def stain_of(body: dict[str, Any] | None) -> Stain | None:
    """As kept."""
    if body is None:
        return None
    parts: dict[str, Any] = {k: Colour(**v) if isinstance(v, dict) else v for k, v in body.items()}
    return Stain(**parts)


def _measured(rgb: dict[str, Any], picture: int, illuminant: str, taken: str, density: float) -> Stain:
    from firstsheet.paper import stain

    labs = {
        k: stain.seen(rgb[k], rgb["white"], white_density=density, taken=taken, illuminant=illuminant)  # type: ignore[arg-type]
        for k in PLACES[1:]
    }
    base, mid = (stain.apart(labs[f"first_{part}"], labs[f"second_{part}"]) for part in ("base", "mid"))
    c = {k: _colour(v, stain.words(v)) for k, v in {**labs, "base": base, "mid": mid}.items()}
    return Stain(
        picture, illuminant, taken, c["first_base"], c["second_base"], c["first_mid"], c["second_mid"], c["base"], c["mid"],
        _beside(c["base"].words), _beside(c["mid"].words),
    )  # fmt: skip


def _colour(lab: Any, words: str) -> Colour:
    return Colour(lab.lightness, lab.a, lab.b, lab.lightness_sd, lab.ab_sd, words)


def _beside(words: str) -> str:
    return "no other colour that this picture tells" if words.startswith("neutral") else words


def _picture(book: Book, number: int, picture: int) -> dict[str, Any]:
    from firstsheet.acts.scraps_developers import KIND

    row = book.get_picture(picture)
    name = scraps.row(book, number, KIND)["name"]
    if row["body"].get("said") != f"{PICTURE_SAID} {name}":
        raise Refusal.one("picture", picture, "A picture of these two strips.", "Send it again.", "missing")
    return row
