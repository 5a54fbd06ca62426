"""What scraps told, as words for people, rounded to what it is worth; shared by both faces."""

from __future__ import annotations

from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.acts import calibrate_words

if TYPE_CHECKING:
    from firstsheet.acts.calibrate_curve import Named
    from firstsheet.acts.calibrate_teach import NextPlan
    from firstsheet.acts.scraps_developers import TwoDevelopers
    from firstsheet.acts.scraps_stain import Colour


def figure_words(f: Named) -> dict[str, str]:
    """Words, value, and its 9-in-10 range or why it was not reached."""
    if f.key not in ("speed", "contrast", "range"):
        row = calibrate_words.figure_row(f)
        return {"words": row["words"], "value": row["value"], "aside": row["range"] or row["why"]}
    if f.value is None or f.low is None or f.high is None:
        return {"words": f.words, "value": "not reached", "aside": f.missing}
    if f.key == "speed":
        low, high = wording.stops(f.low), wording.stops(f.high)
        told = wording.stops_apart(f.value)
        side = "equally fast" if told.startswith("0.0") else f"{told} {'faster' if f.value > 0 else 'slower'}"
        return {
            "words": f.words,
            "value": side,
            "aside": f"9 in 10: {low} to {high}",
        }
    if f.key == "contrast":
        return {
            "words": f.words,
            "value": f"{f.value:.2f} times the first’s",
            "aside": f"9 in 10: {f.low:.2f} to {f.high:.2f}",
        }
    return {
        "words": f.words,
        "value": signed(f.value, 0),
        "aside": f"9 in 10: {signed(f.low, 0)} to {signed(f.high, 0)}",
    }


def next_plan(n: NextPlan, state: str) -> str:
    """What the plan of now becomes; "" for what was taken back or replaced, and where there is no plan."""
    return calibrate_words.next_words(n, state == "counts") if state in ("counts", "waits") else ""


def signed(x: float, places: int) -> str:
    """With its sign: “+29”, “−3”, “0”."""
    shown = f"{abs(x):.{places}f}"
    if float(shown) == 0:
        return shown
    return ("+" if x > 0 else wording.MINUS) + shown


def colour_words(c: Colour) -> str:
    """“L* 92 ±4, a* +1, b* +7, ±1.5 each”, halves of a unit told as what they are worth."""
    return f"L* {c.lightness:.0f} ±{max(c.lightness_sd, 1):.0f}, a* {signed(c.a, 0)}, b* {signed(c.b, 0)}, ±{max(c.ab_sd, 1):.0f} each"


def stain_rows(a: TwoDevelopers) -> list[dict[str, str]]:
    """The four patches and the two differences: words, L*a*b*, the colour in words."""
    s = a.stain
    if s is None:
        return []
    rows = [
        (f"Base, {a.first}", s.first_base),
        (f"Base, {a.second}", s.second_base),
        (f"Mid-tone, {a.first}", s.first_mid),
        (f"Mid-tone, {a.second}", s.second_mid),
    ]
    return [{"words": w, "value": colour_words(c), "aside": c.words} for w, c in rows]


def stain_words(a: TwoDevelopers) -> list[str]:
    """The stain in sentences, the second beside the first, and how it was measured."""
    s = a.stain
    if s is None:
        return []
    how = f"CIE L*a*b*, {s.illuminant}, 2° observer, from a {s.taken}, the white taken for neutral; no camera sees as the eye does, and that is in the ±."
    return [
        f"Beside {a.first}, the base in {a.second}: {s.base_words}; b* {signed(s.base_change.b, 0)} ±{max(s.base_change.ab_sd, 1):.0f}.",
        f"Its mid-tone: {s.mid_words}; b* {signed(s.mid_change.b, 0)} ±{max(s.mid_change.ab_sd, 1):.0f}.",
        *(f"{r['words']}: {r['value']}: {r['aside']}." for r in stain_rows(a)),
        how,
    ]
