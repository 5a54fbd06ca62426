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
        "print": "Print at 100 % on matt white paper. The frame must measure {wide:g} × {high:g} mm: measure it. Cut along its outer edge.",
        "black": "Better than printed black: glue a piece of fully blackened glossy paper over the last patch.",
        "measure": "Densities, if you can measure them, are typed in: white, greys from light to dark, black (1.6 or more).",
        "use": "Lay it flat beside the strip on plain mid-grey board, light from both sides, no lamp mirrored in it.",
    },
}
MARGIN_MM = 10.0
TEXT_MM = 3.4


def strip_card(lang: str = "en") -> str:
    """The card with what to do under it, as a standalone SVG in mm. Refusal for a language that is not there."""
    if lang not in WORDS:
        raise Refusal.one("lang", lang, "One of: " + ", ".join(WORDS) + ".")
    table = tables.load("card")
    card, words = table["card"], WORDS[lang]
    wide, high, line = card["width_mm"], card["height_mm"], card["frame_mm"]
    lines = [words[k].format(wide=wide, high=high) for k in ("print", "black", "measure", "use")]
    all_wide, all_high = wide + 2 * MARGIN_MM, high + 2 * MARGIN_MM + 1.6 * TEXT_MM * len(lines)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{all_wide:g}mm" height="{all_high:g}mm" '
        f'viewBox="{-MARGIN_MM:g} {-MARGIN_MM:g} {all_wide:g} {all_high:g}" role="img" font-family="sans-serif">',
        f"<title>{escape(words['title'])}</title><desc>{escape(words['desc'].format(wide=wide, high=high))}</desc>",
        f'<rect class="frame" x="{line / 2:g}" y="{line / 2:g}" width="{wide - line:g}" height="{high - line:g}" fill="#fff" '
        f'stroke="#000" stroke-width="{line:g}"/>',
    ]
    parts += [f'<circle class="mark" cx="{x:g}" cy="{y:g}" r="{card["mark_diameter_mm"] / 2:g}"/>' for x, y in card["marks_mm"]]
    x, y, w, h = card["first_mm"]
    parts.append(f'<rect class="first" x="{x:g}" y="{y:g}" width="{w:g}" height="{h:g}"/>')
    parts += [_patch(card, k, patch) for k, patch in enumerate(table["patch"])]
    for k, text in enumerate(lines):
        parts.append(f'<text x="0" y="{high + 5 + 1.6 * TEXT_MM * (k + 0.6):g}" font-size="{TEXT_MM:g}">{escape(text)}</text>')
    return "".join(parts) + "</svg>"


def _patch(card: dict[str, float], k: int, patch: dict[str, object]) -> str:
    left = card["first_patch_left_mm"] + k * (card["patch_width_mm"] + card["gap_mm"])
    level = round(255 * (1 - float(str(patch["paint"])) / 100))
    return (
        f'<rect class="patch" x="{left:g}" y="{card["patch_top_mm"]:g}" width="{card["patch_width_mm"]:g}" '
        f'height="{card["patch_height_mm"]:g}" fill="#{level:02x}{level:02x}{level:02x}"><title>{escape(str(patch["name"]))}</title></rect>'
    )
