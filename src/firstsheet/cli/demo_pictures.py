"""The demonstration's pictures, drawn from its book."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.drawing import chain_bars, known_box

if TYPE_CHECKING:
    from firstsheet.acts.answers import Plan
    from firstsheet.acts.known import BoxKnown
    from firstsheet.book.store import Book

WIDTH, ROW, BARS_AT = 680.0, 26.0, 300.0


def all_of(book: Book) -> list[tuple[str, str]]:
    """File names and SVGs: the room in section, the chain of the present plan, what is known of each box."""
    from firstsheet.acts import known, plan, room

    out = [("room.svg", room.drawing(book)), ("chain.svg", chain(plan.plan(book)))]
    for box in known.known(book).boxes:
        out.append((f"known-{_plain(box.box)}-{box.way}.svg", box_known(box)))
    return out


def chain(p: Plan) -> str:
    """The links that have stops, one bar each, and the answer above them."""
    links = [link for link in p.chain if link.stops is not None]
    reach = chain_bars.reach_stops([(link.stops, link.sd) for link in links])
    high = ROW * (len(links) + 1) + 12
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {high:g}" font-family="sans-serif" font-size="13" '
        f'fill="currentColor"><title>{escape("Invented: " + p.headline())}</title>',
        f'<text x="8" y="18" font-weight="bold">{escape(p.headline())}, box {escape(p.box)} (invented)</text>',
    ]
    for i, link in enumerate(links, 1):
        y = ROW * i + 12
        stops = link.stops or 0.0
        parts.append(f'<text x="8" y="{y + 11:g}">{escape(link.words)}</text>')
        parts.append(
            f'<text x="{BARS_AT - 12:g}" y="{y + 11:g}" text-anchor="end">{escape(wording.stops(stops))}</text>'
        )
        parts.append(
            f'<svg x="{BARS_AT:g}" y="{y:g}" width="360" height="15">{chain_bars.bar(stops, link.sd, reach)}</svg>'
        )
    return "".join([*parts, "</svg>"])


def box_known(box: BoxKnown) -> str:
    """A box's speed before its sheets and after."""
    return known_box.known_box(
        (box.ei_began_low, box.ei_began, box.ei_began_high), (box.ei_low, box.ei_now, box.ei_high)
    )


def _plain(name: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in name)
