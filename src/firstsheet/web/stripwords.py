"""Strips and curves as words and drawings for their pages; all rounding of them is here."""

from __future__ import annotations

from typing import Any

from firstsheet import tables, wording
from firstsheet.acts.calibrate import LIT, WAYS, Instructions, PatchSeen, StripLooked
from firstsheet.acts.calibrate_curve import CurveAnswer
from firstsheet.acts.calibrate_kept import STATES, KeptCurve
from firstsheet.acts.calibrate_parts import Quad
from firstsheet.acts.calibrate_words import density, figure_row, figures, next_words, speed_words
from firstsheet.acts.own import Owned
from firstsheet.acts.strip_track import StripTrack, clock

LOOK_FIELDS = ("steps", "sense", "lit", "taken", "card", "card_white", "card_greys", "card_black", "card_sd")
CURVE_FIELDS = (
    "box",
    "developer",
    "way",
    "light",
    "exposures",
    "timing",
    "tablet",
    "meter",
    "kind",
    "densities",
    "density_sd",
)
MAKE_FIELDS = ("way", "count", "factor", "first", "lux")
SENSES = (("negative", "darker: an ordinary paper"), ("positive", "lighter: direct positive, reversal"))
COUNTED = {"card": "true densities, from the card’s white", "border": "densities above the strip’s own border",
           "lightest step": "densities above the lightest step"}  # fmt: skip


def make_ways() -> list[tuple[str, str]]:
    return list(WAYS.items())


def making(asked: dict[str, str]) -> dict[str, str]:
    """The page's query as the form of the act: the page has two fields for a count."""
    return {"steps" if k == "count" else k: v for k, v in asked.items()}


def track(t: StripTrack, url: str) -> dict[str, Any]:
    """A sound track for its page: each opening with what its step then got, and every cue."""
    steps = []
    for s in t.steps:
        left = "1 step open" if s.open_steps == 1 else f"{s.open_steps} steps open"
        words = f"{left}: {wording.seconds(s.time_s)}{'' if s.step == 1 else ' more'}"
        if t.how == "tablet":
            words = "one exposure under the tablet"
        steps.append({"words": words, "whole": f"{wording.seconds(s.whole_s)}, {wording.stops_pm(s.sd_stops)}"})
    return {
        "url": url, "total": clock(t.total_s).partition(".")[0], "cautions": t.cautions, "before": t.before, "notes": t.notes,
        "steps": steps, "cues": [{"words": c.words, "at": clock(c.at_s)} for c in t.cues],
    }  # fmt: skip


def made(i: Instructions) -> dict[str, Any]:
    """Instructions as lines: what to do, then what the cover does and what each step then got."""
    rows = []
    for s in i.steps:
        if s.time_s is None or s.open_steps is None:
            do = f"step {s.step}"
        elif s.step == 1:
            do = f"all open: {wording.seconds(s.time_s)}"
        else:
            left = "1 step" if s.open_steps == 1 else f"{s.open_steps} steps"
            do = f"cover one more, {left} open: {wording.seconds(s.time_s)} more"
        amount = figures(s.exposure_lxs, 2)
        rows.append({"step": s.step, "do": do, "got": f"{amount} lx·s" if i.absolute else f"{amount} × lux"})
    return {"words": i.way_words, "said": i.said, "rows": rows, "exposures": i.exposures, "cover": i.way != "tablet"}


def looked(s: StripLooked, width: int, height: int, light: str, dragged: Quad | None = None) -> dict[str, Any]:
    """A strip as read: outlines in the picture's own pixels, a row for each step; with the corners as dragged, where they were refused."""
    corners = dragged or s.corners
    patches = [_patch(k + 1, p, width, height) for k, p in enumerate(s.patches)]
    read = sum(not p.rejected for p in s.patches)
    return {
        "number": s.strip, "width": width, "height": height, "picture": light == "sun", "patches": patches,
        "outline": _points(corners, width, height), "reach": round(max(width, height) * 0.055), "ring": round(max(width, height) * 0.018),
        "handles": [_handle(k, x, y, width, height) for k, (x, y) in enumerate(corners)],
        "card": _points(s.card_corners, width, height) if s.card_corners else "",
        "corners": "  ".join(f"{x:.4f},{y:.4f}" for x, y in s.corners), "steps": len(s.patches), "proposed": s.proposed_steps,
        "counted": _counted(s), "sense": s.sense, "notes": s.notes, "letter": round(max(width, height) / 32),
        "headline": f"{read} of {len(s.patches)} steps read", "given": s.count_given, "moved": s.moved,
    }  # fmt: skip


def _patch(number: int, p: PatchSeen, width: int, height: int) -> dict[str, Any]:
    x = sum(a for a, _ in p.polygon) / 4 * width
    y = sum(b for _, b in p.polygon) / 4 * height
    if p.density is None:
        value, pm, css = "not read", p.rejected, "rejected"
    elif p.beyond:
        value, pm, css = f"over {density(p.density)}", "darker than this picture can show", "beyond"
    else:
        side = {"at_least": "at least ", "at_most": "at most "}.get(str(p.censored), "")
        value, pm, css = f"{side}{density(p.density)}", f"±{max(p.sd or 0.0, 0.01):.2f}", "read"
    return {"number": number, "points": _points(p.polygon, width, height), "x": f"{x:.0f}", "y": f"{y:.0f}",
            "value": value, "pm": pm, "css": css}  # fmt: skip


def _points(quad: Any, width: int, height: int) -> str:
    return " ".join(f"{x * width:.1f},{y * height:.1f}" for x, y in quad)


def _handle(k: int, x: float, y: float, width: int, height: int) -> dict[str, Any]:
    return {"number": k + 1, "x": f"{x * width:.1f}", "y": f"{y * height:.1f}", "now": f"{100 * x:.0f}",
            "said": f"{100 * x:.0f} % from the left, {100 * y:.0f} % from the top"}  # fmt: skip


def _counted(s: StripLooked) -> str:
    return COUNTED[s.counted_from] + (", lit from behind" if s.lit == "behind" else "")


def line(s: StripLooked) -> dict[str, Any]:
    """One strip in a list."""
    return {"number": s.strip, "words": f"{len(s.patches)} steps", "aside": _counted(s)}


def curve_line(c: KeptCurve) -> dict[str, Any]:
    """One kept curve in a list."""
    return {"number": c.number, "words": c.words[:1].upper() + c.words[1:], "aside": f"{c.day}; {STATES[c.state]}"}


def ask(
    things: dict[str, list[Owned]],
    today: dict[str, Any],
    phrase: dict[str, Any],
    sense: str | None,
    lit: str | None = None,
) -> dict[str, Any]:
    """What the form of the exposures offers, with what holds today already chosen; a strip's own light says its kind of density."""
    boxes, developers = things["box"], things["developer"]
    box = next((b for b in boxes if b.name == today.get("box")), boxes[0] if boxes else None)
    ways = [k for k, v in tables.load("ways").items() if isinstance(v, dict) and (sense is None or v["sense"] == sense)]
    if len(boxes) == 1 and box:
        ways = [w for w in tables.load("papers")[box.body["paper"]]["ways"] if w in ways]
    now = {"box": box.name if box else "", "developer": str(today.get("developer") or (developers[0].name if developers else "")),
           "way": str(today["way"] if today.get("way") in ways else ways[0] if ways else ""), "light": str(phrase.get("light") or ""),
           "timing": "hand", "kind": LIT[lit or "front"]}  # fmt: skip
    return {
        "now": now,
        "boxes": [(b.name, b.name) for b in boxes],
        "developers": [(d.name, d.name) for d in developers],
        "ways": [(w, str(tables.load("ways")[w]["words"])) for w in ways],
        "lights": [(k, str(v["words"])) for k, v in tables.load("lights").items()],
    }


def curve(a: CurveAnswer) -> dict[str, Any]:
    """The curve's page: the next plan first, the drawing, the figures, each with its doubt or why there is none."""
    n = a.next_plan
    change, figure, unit = "", "", ""
    if a.dropped:
        change = "It was taken back, and nothing goes by it."
    elif not a.teaches:
        change = a.why_not
    elif n.before_s is not None and n.after_s is not None:
        figure, unit = wording.seconds_figure(n.after_s)
        unit += f" at {wording.f_number(n.after_aperture)}" if n.after_aperture else ""
        change = next_words(n, a.taught)
        if n.before_sd_stops is not None and n.after_sd_stops is not None:
            change += (
                f" Its doubt: {wording.stops_pm(n.after_sd_stops)} instead of {wording.stops_pm(n.before_sd_stops)}."
            )
    else:
        change = "No plan can be made yet; when light and distance are said, its seconds follow from this curve."
    if a.taught:
        told = "It counts in every plan of this box. Drawn and counted again, the newer takes its place."
    elif a.dropped:
        told = "Then its shape serves again as well." if a.teaches else "Then its shape serves again."
    else:
        told = (
            "Until then it counts in no plan; only its shape is gone by, where one is wanted."
            if a.teaches
            else "The curve is kept; plans stay as they were. Only its shape is gone by, where one is wanted."
        )
    can = (
        ""
        if a.taught or not (a.teaches or a.dropped)
        else "Let it count in plans"
        if a.teaches
        else "Have its shape again"
    )
    way, light = tables.load("ways")[a.way]["words"], tables.load("lights")[a.light]["words"]
    return {
        "number": a.curve, "strip": a.strip, "title": f"Box {a.box} in {a.developer}", "how": f"{way}, exposed by {light}, density by {a.kind}",
        "figures": [figure_row(f) for f in a.figures], "change": change, "figure": figure, "unit": unit, "speed": speed_words(a),
        "teaches": a.teaches, "taught": a.taught, "dropped": a.dropped, "can": can, "help": told, "notes": a.notes, "plot": a.plot_svg,
    }  # fmt: skip
