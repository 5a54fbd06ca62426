"""The reference card to print at home and lay beside a strip, as an SVG at true size.

Geometry from the same table as the reader's. Cut out along the outer edge of the frame.
"""

from __future__ import annotations

from html import escape

from firstsheet import tables
from firstsheet.refusal import Refusal

WORDS = {
    "en": {
        "title": "Reference card for photographed test strips",
        "desc": "White, four greys and a black between four round marks in a black frame, {wide:g} × {high:g} mm.",
        "ruler": "This ruler is 100 mm long: check it. If it is not, print again at 100 %, without “fit to page”.",
        "print": "On matt white paper. The black frame then measures {wide:g} × {high:g} mm. Cut along its outer edge.",
        "unknown": "A printed black is not known until it is measured: ink-jet black may be 1.2 or 1.7.",
        "black": "Better: glue a piece of fully blackened glossy paper over the last patch, and measure that.",
        "measure": "Write each patch’s density under it; black must be 1.6 or more. They are typed in once.",
        "use": "Lay it flat beside the strip on plain mid-grey board, lit from both sides, nothing mirrored in it.",
    },
}
MARGIN_MM = 10.0
TEXT_MM = 3.4
RULER_MM = 100
RULER_DROP_MM = 17.0  # from the card's lower edge to the ruler's line
LINES_DROP_MM = 27.0  # and to the first line of words


def strip_card(lang: str = "en", *, bare: bool = False) -> str:
    """The card with what to do under it (`bare`: without), as a standalone SVG in mm. Refusal for a language that is not there."""
    if lang not in WORDS:
        raise Refusal.one("lang", lang, "One of: " + ", ".join(WORDS) + ".")
    table = tables.load("card")
    card, words = table["card"], WORDS[lang]
    wide, high, line = card["width_mm"], card["height_mm"], card["frame_mm"]
    lines = [words[k].format(wide=wide, high=high) for k in ("ruler", "print", "unknown", "black", "measure", "use")]
    all_wide, all_high = wide + 2 * MARGIN_MM, high + MARGIN_MM + LINES_DROP_MM + 1.6 * TEXT_MM * len(lines)
    if bare:
        all_high = high + 2 * MARGIN_MM
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{all_wide:g}mm" height="{all_high:g}mm" '
        f'viewBox="{-MARGIN_MM:g} {-MARGIN_MM:g} {all_wide:g} {all_high:g}" role="img" font-family="sans-serif">',
        f"<title>{escape(words['title'])}</title><desc>{escape(words['desc'].format(wide=wide, high=high))}</desc>",
        f'<rect class="frame" x="{line / 2:g}" y="{line / 2:g}" width="{wide - line:g}" height="{high - line:g}" fill="#fff" '
        f'stroke="#000" stroke-width="{line:g}"/>',
    ]
    parts += [
        f'<circle class="mark" cx="{x:g}" cy="{y:g}" r="{card["mark_diameter_mm"] / 2:g}"/>'
        for x, y in card["marks_mm"]
    ]
    x, y, w, h = card["first_mm"]
    parts.append(f'<rect class="first" x="{x:g}" y="{y:g}" width="{w:g}" height="{h:g}"/>')
    parts += [_patch(card, k, patch) for k, patch in enumerate(table["patch"])]
    if bare:
        return "".join(parts) + "</svg>"
    parts += _to_write_on(card, table["patch"]) + _ruler(high + RULER_DROP_MM)
    for k, text in enumerate(lines):
        parts.append(
            f'<text x="0" y="{high + LINES_DROP_MM + 1.6 * TEXT_MM * k:g}" font-size="{TEXT_MM:g}">{escape(text)}</text>'
        )
    return "".join(parts) + "</svg>"


def _patch(card: dict[str, float], k: int, patch: dict[str, object]) -> str:
    left = card["first_patch_left_mm"] + k * (card["patch_width_mm"] + card["gap_mm"])
    level = round(255 * (1 - float(str(patch["paint"])) / 100))
    return (
        f'<rect class="patch" x="{left:g}" y="{card["patch_top_mm"]:g}" width="{card["patch_width_mm"]:g}" '
        f'height="{card["patch_height_mm"]:g}" fill="#{level:02x}{level:02x}{level:02x}"><title>{escape(str(patch["name"]))}</title></rect>'
    )


def _to_write_on(card: dict[str, float], patches: list[dict[str, object]]) -> list[str]:
    """Under the frame, where it is cut off: each patch's name and a line for its density."""
    out = []
    for k, patch in enumerate(patches):
        left = card["first_patch_left_mm"] + k * (card["patch_width_mm"] + card["gap_mm"])
        y = card["height_mm"] + 4.5
        out.append(f'<text x="{left:g}" y="{y:g}" font-size="{TEXT_MM:g}">{escape(str(patch["name"]))}</text>')
        out.append(f'<path d="M{left:g},{y + 6:g} h{card["patch_width_mm"]:g}" stroke="#000" stroke-width="0.15"/>')
    return out


def _ruler(y: float) -> list[str]:
    """A ruler of 100 mm: a stroke at every millimetre, longer at five, numbered at ten."""
    strokes = "".join(
        f"M{x},{y:g} v{3.0 if x % 10 == 0 else 2.2 if x % 5 == 0 else 1.4:g}" for x in range(RULER_MM + 1)
    )
    numbers = [
        f'<text x="{x}" y="{y - 0.8:g}" font-size="2.6" text-anchor="middle">{x}</text>'
        for x in range(0, RULER_MM + 1, 10)
    ]
    return [
        f'<path class="ruler" d="M0,{y:g} h{RULER_MM}" stroke="#000" stroke-width="0.2"/>',
        f'<path d="{strokes}" stroke="#000" stroke-width="0.15"/>',
        *numbers,
        f'<text x="{RULER_MM + 4}" y="{y + 1:g}" font-size="{TEXT_MM:g}">mm</text>',
    ]


def card_page(lang: str = "en") -> str:
    """The card as a page of its own that prints on one sheet of A4 or letter paper at true size (HTML, nothing beside it)."""
    svg = strip_card(lang)  # refuses a language that is not there
    return (
        f'<!doctype html><html lang="{escape(lang)}"><head><meta charset="utf-8"><title>{escape(WORDS[lang]["title"])}</title>'
        "<style>@page { margin: 12mm } html, body { margin: 0; background: #fff } svg { display: block }</style></head>"
        f"<body>{svg}</body></html>"
    )
