"""The words and fields of the pages about lens and room. Examples are shown, never filled in."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from firstsheet.web.owning import Field


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its title, what it is for, how to go about it, its fields and the word on its button."""

    title: str
    words: str
    steps: tuple[str, ...] = ()
    fields: tuple[Field, ...] = ()
    button: str = "Reckon"
    keeping: tuple[str, str] = ("Keep it with the camera", "Kept with the camera.")


SUBJECT = Field("subject", "Sitter’s eyes to lens", "3 m", half=True)
BOARD = Field("board", "Board to lens", "750 mm", half=True)
LENS = {
    "lens": Page("The lens as it is", "What is known of it, and what a tape, a rule and the board can tell."),
    "lens/focal": Page(
        "Measure the focal length", "By two sizes of one thing on the board, the surer way; or by a far window on a card.",
        (
            "Two sizes: stand a stick of known length outside, far off. Focus, and measure its picture on the board.",
            "Bring the stick much nearer, focus again, measure again. Measure how far the board moved.",
            "Or one far window: focus it on a card, and measure from the middle of the barrel to the card. Never with the sun before the lens.",
        ),
        (
            Field("thing", "The stick’s length", "200 mm", half=True), Field("travel", "Board moved", "180 mm", half=True),
            Field("first", "Picture, far", "40 mm", half=True), Field("second", "Picture, near", "100 mm", half=True),
            Field("card", "Or: card to barrel’s middle", "612 mm", half=True), Field("window", "and the window is off", "60 m", half=True),
        ),
    ),
    "lens/pupil": Page(
        "True stop, from its pupil", "The bright disc you see in the lens, not the glass, is what lets the light in.",
        ("Open the iris wide. Stand a metre off, one eye shut, and lay a rule across the bright disc.", "Once from the front, once from the board’s side."),
        (Field("front", "Bright disc from the front", "74 mm", half=True), Field("back", "from the board’s side", "72 mm", half=True)),
    ),
    "lens/barrel": Page(
        "What the barrel cuts off", "Seen from the side the round opening becomes a cat’s eye: worst wide open.",
        ("Measure the clear width of the front and the rear rim, and from rim to rim.",),
        (
            Field("length", "Rim to rim", "120 mm", half=True), Field("front", "Front rim", "80 mm", half=True),
            Field("back", "Rear rim", "78 mm", half=True), Field("magnification", "For a picture × life-size", "0.25", mode="decimal", half=True),
            Field("before", "Share of the length before the iris", "0.5", mode="decimal"),
        ),
    ),
    "lens/discs": Page(
        "Home-made discs", "A hole in a black card is a stop.", (),
        (
            Field("stops", "Stops you want", "11 16 22", half=True), Field("holes", "or holes you have", "40 mm, 28 mm", half=True),
            Field("hole", "Between two glasses: real width of the widest opening", "62 mm"),
        ),
    ),
    "lens/shutter": Page(
        "The shutter’s real speed", "An old shutter is slow, and slower in the cold.",
        ("Film it with a telephone at a known number of pictures a second, or record its sound; several times.",),
        (Field("marked", "Its mark", "1/25", half=True), Field("measured", "Measured, once or more [s]", "0.05 0.048 0.053", half=True)),
    ),
    "lens/hand": Page(
        "Your hand’s own timing", "Ten times: press to open, count, let go to shut. Count as you will for a sheet.",
        (),
        (Field("wanted", "The time you count", "2 s"), Field("taps", "The times as they came out [s]", "2.1 1.9 2.2 2.0 2.1")),
    ),
    "lens/single": Page(
        "A single glass", "It brings blue to a focus nearer than the light you focus by; paper sees the blue.", (),
        (Field("abbe", "Abbe number of the glass", "58", "58 for spectacle crown or plastic, 30 for the unbreakable kind.", "decimal"), SUBJECT, BOARD),
    ),
    "lens/pinhole": Page("No lens: a pinhole", "The hole that blurs least.", (), (BOARD, SUBJECT)),
}  # fmt: skip
APERTURE = Field("aperture", "Stop", "f/11", half=True)
SIZE = Field("size", "Sheet, if not today’s box", "16x20 in", half=True)
ROOM = {
    "distances": Page(
        "Where board and chair go", "Say any two and the rest follows. Say one, and it is for your own lens.", (),
        (
            SUBJECT, BOARD, Field("magnification", "Size × life-size", "1/2", half=True), Field("head", "or a head on the sheet", "120 mm", half=True),
            Field("across", "or width taken in", "1.2 m", half=True), Field("tall", "or height taken in", "1.6 m", half=True),
            Field("focal", "Another lens", "480 mm", half=True), SIZE, APERTURE,
        ),
    ),
    "marks": Page(
        "Floor mark to board mark", "Tapes seldom begin at the lens: say where theirs do, once, and read across.", (),
        (
            Field("floor", "Mark on the floor", "3 m", half=True), Field("board_mark", "or on the board’s tape", "750 mm", half=True),
            Field("floor_zero", "Floor’s tape begins outside the lens’s middle by", "120 mm", half=True), Field("board_zero", "Board’s tape begins behind it by", "80 mm", half=True),
        ),
    ),
    "fits": Page("What fits here", "Touch a place of the map, and it says why.", (), (Field("size", "Another sheet", "24x30 in", half=True), SUBJECT)),
    "lenses": Page(
        "Which lens for this room?", "Before you buy: what focal lengths make a picture of this size here.", (),
        (
            Field("magnification", "Size × life-size", "1/2", half=True), Field("head", "or a head on the sheet", "115 mm", half=True), SIZE,
            Field("outside", "Room outside, lens to chair", "5 m", half=True), Field("coverage", "Angle the lens covers", "46°", half=True),
        ),
    ),
    "sharp": Page(
        "How sharp it will be", "A point of the picture at true size, by pose; then stop by stop. The eye is as large as on the sheet.", (),
        (
            Field("pose", "The sitter is", options=(("standing", "standing"), ("seated", "seated"), ("rested", "with the head against a rest"))),
            SUBJECT, APERTURE, Field("time", "Seconds at this stop", "4 s", half=True), SIZE,
            Field("bow", "Paper bows by", "3 mm", half=True), Field("edge", "Board’s edge is off by", "3 mm", half=True),
        ),
    ),
    "even": Page(
        "How evenly it is lit", "Stops against the lens’s axis, as you face the sheet. Dashed: the circle the lens covers.", (),
        (
            SUBJECT, APERTURE, Field("left", "Sheet hangs left of the axis", "40 mm", half=True), Field("right", "or right of it", "40 mm", half=True),
            Field("up", "above it", "40 mm", half=True), Field("down", "or below it", "40 mm", half=True), SIZE,
        ),
    ),
    "dark": Page(
        "Dark enough for this paper?", "Which leaks fog it, what the open lens does at the trays, and what bare walls lay over the picture.", (),
        (
            Field("walls", "Walls inside are", options=(("black", "painted matt black"), ("wood", "bare wood"), ("white", "painted white"))),
            Field("lux", "Mid-tone on the board [lx]", "0.5", mode="decimal", half=True), Field("exposure", "or the exposure", "8 s", half=True),
            Field("trays", "Developer to board", "1 m", half=True), SUBJECT, APERTURE, SIZE,
        ),
    ),
    "drawing": Page(
        "Section and plan, to scale", "Lay a rule to it: walls, lens, the board and its range, rays, the picture upside down, trays, way out, sitter.", (),
        (SUBJECT, BOARD, Field("scale", "Scale on paper", "1:20", half=True), SIZE),
        "Draw it there", ("Say it for this sheet", "Said for this sheet."),
    ),
    "ruler": Page("A ruler for the board", "A strip to lay along the slide: where the sitter must be, at every place of the board."),
}  # fmt: skip
PAGES: dict[str, Page] = {**LENS, **ROOM}
TITLES = {
    "lens": "The lens as it is", "lens/focal": "Measure its focal length", "lens/pupil": "Its true stop", "lens/barrel": "What its barrel cuts off",
    "lens/discs": "Home-made discs", "lens/shutter": "Its shutter’s real speed", "lens/hand": "Your hand’s timing",
    "lens/single": "A single glass", "lens/pinhole": "No lens: a pinhole", "distances": "Any two give the rest",
    "fits": "What fits here: sizes and distances", "sharp": "How sharp it will be: sway, depth, stop", "even": "How evenly it is lit", "dark": "Dark enough: leaks, open lens, bare walls", "/leaktest": "Test it with scraps of paper", "drawing": "Section and plan, to scale", "drawing/print": "Print it at this scale", "lenses": "Which lens for this room?",
    "marks": "Floor mark to board mark", "ruler": "A ruler for the board, to print", "ruler/print": "The ruler, to print at 100 %",
}  # fmt: skip
NEXT = {"drawing": ("drawing/print",), "even": ("lens/barrel",), "dark": ("/leaktest",), "fits": ("lenses",), "marks": ("ruler",), "ruler": ("ruler/print",), "lens": tuple(k for k in LENS if k != "lens")}


FROM_BOARD = (
    ("Look before you expose", ("/ahead", "/focus", "sharp", "even", "dark")),
    ("Where things go", ("drawing", "fits", "distances", "marks", "ruler")),
    ("The lens", ("lens", "lenses")),
)
ELSEWHERE = {"/ahead": "Read the board from a photo, and see the sheet before it is spent", "/focus": "Focus by photos of the board"}


def from_board() -> list[tuple[str, list[tuple[str, str]]]]:
    """Where one goes from the board, under a heading each: (heading, links as of `links`)."""
    return [(heading, [(k, ELSEWHERE[k]) if k in ELSEWHERE else (f"/room/{k}", TITLES[k]) for k in keys]) for heading, keys in FROM_BOARD]


def links(what: str, asked: dict[str, str] | None = None) -> list[tuple[str, str]]:
    """Where one goes from this page: (path, words); what is printed keeps what was asked."""
    kept = "?" + urlencode(asked) if asked else ""
    return [(k if k.startswith("/") else f"/room/{k}{kept if k.endswith('/print') else ''}", TITLES[k]) for k in NEXT.get(what, ())]


def back(what: str) -> tuple[str, str]:
    """Where this page was come from."""
    return ("/room/lens", "The lens") if what.startswith("lens/") else ("/board", "Board")
