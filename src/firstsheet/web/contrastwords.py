"""Contrast and flash as words for their page; no number is made here."""

from __future__ import annotations

from typing import Any

from firstsheet import wording
from firstsheet.acts.contrast import Contrast, Option, costs_words
from firstsheet.acts.flash import Dose, Standing, dose_words, threshold_words
from firstsheet.tables import load


def told(c: Contrast) -> dict[str, Any]:
    """The answer, the ways out in the order of the table, what it rests on."""
    return {
        "head": c.says.partition(". ")[0] + "." if c.take != "as_is" else "Take it as it is.", "says": c.says.partition(". ")[2] if c.take != "as_is" else c.says, "plot": c.plot_svg, "flash": c.flash.words if c.flash else "", "notes": c.notes,
        "scene": f"The scene: {c.scene_stops:.1f} stops, {c.scene_words}.", "paper": f"The paper: {c.paper_stops:.1f} stops, 9 in 10 between {c.paper_low:.1f} and {c.paper_high:.1f}, {c.paper_words}.",
        "under": f"{c.way_words}, box {c.box} in {c.developer}",
        "options": [_option(o, o.key in (c.take, c.also), c.currency) for o in sorted(c.options, key=lambda o: (o.key != c.take, o.key != c.also)) if o.open],
        "closed": [f"{o.words[:1].upper()}{o.words[1:]}: {o.why_not}" for o in c.options if not o.open],
        "sources": [(o.words, o.source) for o in c.options if o.key != "as_is"],
    }  # fmt: skip


def _option(o: Option, taken: bool, currency: str) -> dict[str, Any]:
    buys = f"buys {wording.stops_apart(o.buys_stops)}, {o.low:.1f} to {o.high:.1f}" if o.key != "as_is" else "buys nothing"
    return {
        "words": o.words, "does": o.does, "taken": taken, "buys": buys, "costs": costs_words(o), "holds": wording.chance(o.keeper_chance),
        "money": f"{wording.about(o.cost_per_keeper, currency)} a keeper" if o.cost_per_keeper is not None else "", "caution": o.caution,
    }  # fmt: skip


def standing(s: Standing) -> dict[str, Any]:
    return {"box": s.box, "thresholds": [threshold_words(t) for t in s.thresholds], "scrap": s.scrap,
            "counted": [(t.under, t.under) for t in s.thresholds if t.seconds is not None], "lux": any(t.lx_s is not None for t in s.thresholds)}  # fmt: skip


def dose(d: Dose) -> dict[str, Any]:
    figure, unit = wording.seconds_figure(d.time_s)
    return {"figure": figure, "unit": unit, "words": dose_words(d), "notes": d.notes, "first": d.cautions[0], "cautions": d.cautions[1:]}


def lights() -> list[tuple[str, str]]:
    return [(k, str(v["words"])) for k, v in load("lights").items()]
