"""Sheets as words: the lists, one sheet's life, judging it and what that changed."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from firstsheet import tables, wording
from firstsheet.acts import placed
from firstsheet.acts.answers import Change, Plan, SheetState
from firstsheet.acts.known import BoxKnown, Known
from firstsheet.drawing.known_box import known_box
from firstsheet.paper.response import way_of
from firstsheet.web.pages import said_words

STATES = {
    "planned": "planned, not exposed", "flashed": "flashed, not exposed", "exposed": "exposed, in the dark", "in the trays": "in the trays",
    "processed": "processed, to be judged", "judged": "judged", "given up": "given up",
}  # fmt: skip
MARKS = {
    "opened": "Lens opened", "capped": "Lens shut", "exposed": "Exposed", "begun": "The run begins", "lifted": "Lifted", "lights_on": "Lights on", "lights_off": "Lights off",
    "appeared": "The image shows", "wrong_tray": "In the wrong tray", "paused": "Paused", "resumed": "Goes on", "taken_back": "Taken back",
    "stopped": "Run stopped", "finished": "Run finished", "abandoned": "Given up", "judged": "Judged",
    "unjudged": "Judgement taken back", "pictured": "Picture added", "readied": "Seen to, before the box", "flashed": "Flashed", "ranged": "The scene’s range kept",
}  # fmt: skip
SCREEN_RED = "This screen face down, or red where it was tested so, from the opened box to the closed one."
SCREEN_COLOUR = "This screen face down or in its pouch from the opened box on: colour paper sees red too."
BORDERS = (
    ("white", "White", "clean paper"),
    ("grey", "Grey", "a tone where there should be none"),
    ("black", "Black", "full black"),
)


def line(s: SheetState) -> dict[str, Any]:
    """One sheet in a list."""
    p = s.plan
    who = p.get("sitter") or p["way_words"]
    at = "" if p.get("aperture") is None else f" at {wording.f_number(p['aperture'])}"
    given = s.given_s if s.given_s is not None else p["time_s"]
    verdict = ""
    if s.judgement:
        seen = s.judgement.get("words") or ""
        verdict = seen + (", kept" if s.judgement.get("kept") else "")
    return {
        "code": s.code, "number": s.number, "strip": s.strip, "state": verdict or STATES.get(s.state, s.state),
        "words": f"{'Test strip' if s.strip else f'{len(s.patches)} patches' if s.patches else who}, {wording.seconds(given)}{at}", "kept": bool(s.judgement and s.judgement.get("kept")),
        "picture": s.pictures[-1] if s.pictures else None,
    }  # fmt: skip


def from_notebook(s: SheetState) -> bool:
    """Whether it came with a notebook: it waits neither at the trays nor at the bench."""
    return any(m["kind"] == "exposed" and m["body"].get("from_notebook") for m in s.marks)


def exposing(s: SheetState) -> dict[str, Any]:
    """The page beside the open lens: the code, the seconds huge, a strip's steps."""
    p = s.plan
    time_s = p["time_s"]
    figure, unit = wording.seconds_figure(time_s)
    return {
        "code": s.code, "number": s.number, "strip": s.strip, "figure": figure, "unit": unit,
        "pack": (p.get("pack") or {}).get("words", ""), "how": p["how_given"], "aperture": "" if p.get("aperture") is None else wording.f_number(p["aperture"]),
        "board": "" if p.get("board_mm") is None else wording.millimetres(p["board_mm"]),
        "contact": p["way"] == "contact_print", "print": "; ".join(p["readings"]) if p["chain"][0]["key"] == "lamp" else "",  # under a kept lamp
        "screen": SCREEN_COLOUR if p["way"] == "reversal_ra4" else SCREEN_RED, "steps": strip_steps(p["strip"]["times_s"]) if s.strip else [], "patches": s.patches,
        "given": "" if s.given_s is None else wording.seconds(s.given_s), "judged": bool(s.judgement),
        "caution": caution(p["cautions"][0]) if p.get("cautions") and (p["way"] != "contact_print" or p["chain"][0]["key"] == "lamp") else None,
        "remark": s.remark,
    }  # fmt: skip


def caution(text: str) -> tuple[str, str]:
    """A caution as its first sentence, to be read at once, and the rest."""
    first, dot, rest = text.partition(". ")
    return first + dot.strip(), rest


def strip_steps(times_s: Any) -> list[dict[str, str]]:
    """How the steps are given by covering: first all of it, then less and less; each its own share and its whole."""
    out = []
    before = 0.0
    for i, t in enumerate(times_s):
        what = (
            "the whole strip open"
            if i == 0
            else f"step {i} covered"
            if i == 1
            else "steps 1 and 2 covered"
            if i == 2
            else f"steps 1 to {i} covered"
        )
        out.append(
            {"number": str(i + 1), "give": wording.seconds(t - before), "whole": wording.seconds(t), "what": what}
        )
        before = t
    return out


def judging(s: SheetState) -> dict[str, Any]:
    """What the judging page offers."""
    entry = way_of(s.plan["way"])
    faults = [(k, v["words"]) for k, v in tables.load("faults").items()]
    steps: list[tuple[str, str]] = []
    if s.strip:
        times = s.plan["strip"]["times_s"]
        for i, t in enumerate(times):
            steps.append((str(i + 1), f"Step {i + 1}: {wording.seconds(t)}"))
            if i + 1 < len(times):
                steps.append((f"{i + 1.5:g}", f"between {i + 1} and {i + 2}"))
    return {
        "code": s.code, "number": s.number, "strip": s.strip, "borders": BORDERS, "steps": steps, "faults": faults,
        "seen": [(k, v["words"]) for k, v in tables.load("seen").items()], "reading_of": entry["reading_of"],
        "pack": bool(s.plan.get("pack")), "patches": urlencode({"light": s.plan["light"], "box": s.plan["box"]}) if s.patches else "",
        "border_words": "Under a coin or card that lay on the print’s edge this paper should be white. The bare edge beside the negative prints black and says nothing; nothing lay there: leave this out."
        if s.plan["way"] == "contact_print" else f"Where the frame or a magnet covered it, this paper should be {entry['border']}.",
        "given": "" if s.given_s is None else wording.seconds(s.given_s), "state": s.state,
    }  # fmt: skip


def changed(sheet: SheetState, change: Change, before: Plan | None, after: Plan | None) -> dict[str, Any]:
    """What one judgement taught, and what it does to the next plan, which may by now be of another box."""
    out: dict[str, Any] = {
        "code": sheet.code,
        "words": change.words,
        "taught": change.taught,
        "next_time": change.next_time,
        "plan": "",
        "chance": "",
    }
    if after:
        out["figure"], out["unit"] = wording.seconds_figure(after.time_s)
        at = "" if after.aperture is None else f" at {wording.f_number(after.aperture)}"
        out["at"] = at
        its_own = (after.box, after.way) == (sheet.plan["box"], sheet.plan["way"])
        which = "The next plan" if its_own else f"Today’s plan, box {after.box}, {after.way_words},"
        same = before and (before.time_s, before.aperture) == (after.time_s, after.aperture)
        if before and same:
            out["plan"] = f"{which} stays {wording.seconds(after.time_s)}{at}."
        elif before:
            was = "" if before.aperture in (None, after.aperture) else f" at {wording.f_number(before.aperture)}"
            out["plan"] = (
                f"{which}: {wording.seconds(after.time_s)}{at} instead of {wording.seconds(before.time_s)}{was}."
            )
        else:
            out["plan"] = f"{which}: {wording.seconds(after.time_s)}{at}."
        out["chance"] = f"{wording.chance(after.keeper_chance)} for a keeper"
        if before:
            out["chance"] += f"; it was {wording.chance(before.keeper_chance)}"
        out["chance"] += "."
    return out


def _flash(s: SheetState) -> str:
    """What flash it got, or is to get; "" for none."""
    if s.flashed:
        long = f", {wording.seconds(s.flashed['seconds'])}" if s.flashed.get("seconds") else ""
        return f"flashed, {s.flashed['share']:.0%} of the threshold{long}".replace("%", " %")
    share = s.plan.get("flash_share")
    return f"to be flashed, {share:.0%} of the threshold".replace("%", " %") if share else ""


def life(s: SheetState, now: datetime) -> dict[str, Any]:
    """A sheet's whole life for its page."""
    p = s.plan
    rows = [
        ("Way of working", p["way_words"]), ("Box", p["box"]), ("Developer", p["developer"]), ("Camera", p["camera"]),
        ("Light", p["light_words"]), ("Print" if p["way"] == "contact_print" and p["aperture"] is None else "Reading", said_words("; ".join(p["readings"]))),
        ("Filter pack", (p.get("pack") or {}).get("words", "")),
        ("Flash", _flash(s)),
        ("Sitter", p.get("sitter") or "not named"),
        ("Distance", "" if p.get("subject_mm") is None else wording.length(p["subject_mm"])),
        ("Board", "" if p.get("board_mm") is None else wording.millimetres(p["board_mm"])),
    ]  # fmt: skip
    at = "" if p.get("aperture") is None else f" at {wording.f_number(p['aperture'])}"
    given = ""
    if s.given_s is not None:
        at_given = "" if s.given_aperture is None else f" at {wording.f_number(s.given_aperture)}"
        given = f"{wording.seconds(s.given_s)}{at_given}"
    low, high = p["range90_s"]
    return line(s) | {
        "title": f"{'Test strip' if s.strip else 'Sheet'} {s.number}", "plan_words": f"{wording.seconds(p['time_s'])}{at}",
        "range": f"9 in 10 between {wording.seconds(low)} and {wording.seconds(high)}; {wording.chance(p['keeper_chance'])} for a keeper",
        "rows": [r for r in rows if r[1]], "given": given, "remark": s.remark, "state_words": STATES.get(s.state, s.state),
        "scene": placed.last_kept(s.marks), "marks": [_mark(m) for m in s.marks], "judgement": _judgement(s.judgement) if s.judgement else [],
        "pictures": s.pictures, "made": wording.age((now - datetime.fromisoformat(s.wall)).total_seconds()),
        "can_run": s.state in ("exposed", "in the trays") and s.given_s is not None, "can_expose": s.state in ("planned", "flashed"),
        "can_judge": s.given_s is not None and not s.judgement, "judged": bool(s.judgement),
        "steps": strip_steps(p["strip"]["times_s"]) if s.strip else [],
    }  # fmt: skip


def _mark(m: dict[str, Any]) -> tuple[str, str]:
    at = m["elapsed_s"]
    when = (
        f"{int(at // 60)}:{int(at % 60):02d}"
        if at is not None
        else datetime.fromisoformat(m["wall"]).astimezone().strftime("%d %b, %H:%M")
    )
    step = str(m["body"].get("step") or "").replace("_", " ")
    words = MARKS.get(m["kind"], m["kind"])
    return when, f"{words}, {step}" if step else words


def _judgement(j: dict[str, Any]) -> list[tuple[str, str]]:
    faults = tables.load("faults")
    rows = [("Border", j["border"]), ("Seen", f"{j['words']}{', wet' if j.get('wet') else ''}")]
    if j.get("kept") is not None:
        rows.append(("Kept", "yes" if j["kept"] else "no"))
    if j.get("faults"):
        rows.append(("Also", ", ".join(str(faults[f]["words"]) for f in j["faults"] if f in faults)))
    if j.get("note"):
        rows.append(("Note", j["note"]))
    if not j.get("taught"):
        rows.append(("Taught", "nothing about speed: it was not the exposure"))
    return rows


def box_known(b: BoxKnown) -> dict[str, str]:
    """A box before and after its sheets: a drawing and a sentence."""
    words = f"EI {b.ei_now:.2g}, 9 in 10 between {b.ei_low:.2g} and {b.ei_high:.2g}; we began with EI {b.ei_began:.2g}."
    return {
        "box": b.box if "box" in b.box.lower() else f"Box {b.box}", "way": b.way_words, "words": words, "source": b.source,
        "why": urlencode({"box": b.box, "way": b.way}),
        "svg": known_box((b.ei_began_low, b.ei_began, b.ei_began_high), (b.ei_low, b.ei_now, b.ei_high)),
    }  # fmt: skip


def _bare(stops: str) -> str:
    """The figure without its word, where a heading says that all are stops."""
    return stops.removesuffix("s").removesuffix(" stop")


def known_words(k: Known) -> dict[str, Any]:
    """Everything known, for its page."""
    effects = [
        {
            "group": e.group[:1].upper() + e.group[1:],
            "words": e.words,
            "nums": f"{_bare(wording.stops(e.mean_stops))} {_bare(wording.stops_pm(e.sd_stops))}",
        }
        for e in k.effects
    ]
    count = (
        "No sheet has"
        if k.sheets == 0
        else "1 judgement or comparison has"
        if k.sheets == 1
        else f"{k.sheets} judgements and comparisons have"
    )
    return {"count": f"{count} taught so far.", "boxes": [box_known(b) for b in k.boxes], "effects": effects}
