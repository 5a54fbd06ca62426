"""Answers as a few calm lines: one answer first, then the chain one line per link, then what to mind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from firstsheet import wording
from firstsheet.cli.face import heading, width, wrapped

if TYPE_CHECKING:
    from firstsheet.acts.answers import Plan, SheetState
    from firstsheet.acts.known import Known, Missed, Why
    from firstsheet.camera.room import RoomAnswer
    from firstsheet.exposure.chain import Link

LEAST_TOLD_STOPS = 0.05  # less is shown as nothing
UNITS = {"lx": wording.lux, "cd/m²": wording.luminance, "s": wording.seconds}


def of_plan(p: Plan) -> list[str]:
    """A plan for people."""
    lines = [f"{p.headline()}, {p.how_given}."]
    low, high = (wording.seconds(s) for s in p.range90_s)
    lines += wrapped(
        f"A keeper: {wording.chance(p.keeper_chance)}. The right time lies between {low} and {high}, 9 in 10."
    )
    for sentence in p.changed:
        lines += wrapped(sentence)
    place = [f"{p.way_words}, box {p.box}, {p.developer}, {p.light_words}"]
    if p.board_mm is not None and p.subject_mm is not None:
        place.append(f"sitter at {wording.length(p.subject_mm)}, board at {wording.millimetres(p.board_mm)}")
    lines += wrapped("; ".join(place) + ".")
    if p.assumed:
        lines += wrapped(f"Carried over from before: {', '.join(p.assumed)}.")
    lines += heading("How it comes about")
    lines += [line for link in p.chain for line in of_link(link)]
    lines += heading("What is in doubt")
    for doubt in p.doubts[:3]:
        lines.append(f"  {round(100 * doubt.share):3d} %  {doubt.words}, {wording.stops_pm(doubt.sd_stops)}")
    times = ", ".join(wording.seconds(t) for t in p.strip.times_s)
    after = wording.chance(p.strip.keeper_chance_after)
    lines += wrapped(f"A test strip first ({times}; {p.strip.sheets:g} of a sheet) would make it {after}.", "  ")
    lines += wrapped(p.advice.words, "  ") + wrapped(p.advice.narrows, "  ")
    lines += [line for c in p.advice.counted for line in wrapped(c, "  ")]
    lines += _sentences("Mind", p.notes) + _sentences("Take care", p.cautions)
    return lines


def of_link(link: Link) -> list[str]:
    """One line of the chain: what it is, its stops, what stands after it; its source below where there is no room."""
    stops = "" if link.stops is None else wording.stops(link.stops)
    doubt = "" if link.sd is None else wording.stops_pm(link.sd)
    value = UNITS[link.unit](link.value) if link.unit in UNITS else f"{link.value:.3g} {link.unit}"
    head = f"  {link.words[:38]:38} {stops:>10} {doubt:>10}  {value:>12}"
    more = [link.words[38:].strip()] if len(link.words) > 38 else []
    if link.learned is not None and abs(link.learned) >= LEAST_TOLD_STOPS:
        more.append(f"{wording.stops(link.learned)} of it by your sheets")
    if not more and len(link.source) <= width() - len(head) - 2:
        return [f"{head}  {link.source}"]
    return [head.rstrip(), *wrapped("; ".join([*more, link.source]), "      ")]


def _sentences(title: str, said: tuple[str, ...]) -> list[str]:
    return [*heading(title), *[line for s in said for line in wrapped(s, "  ", "  ")]] if said else []


def of_room(a: RoomAnswer) -> list[str]:
    """What this lens does in this room, for people."""
    lines = wrapped(
        f"Board {wording.millimetres(a.board_mm)} behind the lens; sitter's eyes {wording.length(a.subject_mm)} before it."
    )
    lines += wrapped(
        f"A head is {wording.length(a.head_mm)} tall on the sheet (± {wording.length(a.head_sd_mm)}), upside down; "
        f"the sheet takes in {wording.length(a.field_mm[0])} × {wording.length(a.field_mm[1])}."
    )
    depth = f"sharp from {wording.length(a.near_mm)} before the eyes"
    depth += " to as far as one can see" if a.far_mm is None else f" to {wording.length(a.far_mm)} behind them"
    f_number = f"{wording.f_number(a.aperture)} acts as {wording.f_number(a.effective_f_number)} ({wording.stops(a.extension_stops)})"
    lines += wrapped(f"{f_number}; {depth}.")
    lines += wrapped(f"Board and paper may be {wording.length(a.depth_of_focus_mm)} off either way.")
    circle = "not known" if a.circle_mm is None else wording.length(a.circle_mm)
    lines += wrapped(f"Circle {circle}; the sheet needs {wording.length(a.sheet_diagonal_mm)}.")
    lines += _sentences("Mind", a.notes)
    lines += _sentences(
        "Where this comes from",
        tuple(dict.fromkeys((a.focus_source, a.head_source, a.depth_source, a.coverage_source))),
    )
    return lines


def sheet_line(s: SheetState) -> str:
    """One sheet on one line."""
    kind = "test strip" if s.strip else s.plan["way_words"]
    given = "" if s.given_s is None else f", {wording.seconds(s.given_s)}"
    if s.given_aperture and given:
        given += f" at {wording.f_number(s.given_aperture)}"
    verdict = ""
    if s.judgement:
        verdict = f", {s.judgement['words']}"
        verdict += {True: ", kept", False: ", not kept", None: ""}[s.judgement["kept"]]
    return f"{s.code}  {s.wall[:10]}  {kind}, box {s.plan['box']}{given}: {s.state}{verdict}"


def of_sheet(s: SheetState) -> list[str]:
    """A sheet's whole life, for people."""
    from firstsheet.acts.placed import last_kept

    lines = [sheet_line(s)]
    chance = wording.chance(s.plan["keeper_chance"])
    through = f" through {s.plan['pack']['words']}" if s.plan.get("pack") else ""
    planned = f"Planned {wording.seconds(s.plan['time_s'])}{through}, {chance} to be a keeper, {s.plan['light_words']}."
    lines += wrapped(planned)
    if s.plan["way"] == "contact_print" and s.plan["aperture"] is None:
        lines += wrapped(f"{'; '.join(s.plan['readings'])}.")
    if s.flashed:
        lines.append(f"Flashed, {s.flashed['share']:.0%} of the threshold.".replace("%", " %"))
    if s.remark:
        lines += wrapped(s.remark)
    if scene := last_kept(s.marks):
        lines += [*heading("The scene’s range, as kept"), *wrapped(scene["says"], "  ", "  ")]
        lines += [line for t in scene["tones"] for line in wrapped(t["words"], "  ", "    ")]
    lines += heading("What happened")
    for mark in s.marks:
        at = "" if mark["elapsed_s"] is None else f"  {wording.seconds(mark['elapsed_s'])} into the run"
        step = "" if mark["elapsed_s"] is None else str(mark["body"].get("step") or "").replace("_", " ")
        kind = mark["kind"].replace("_", " ")
        lines.append(f"  {mark['wall'][:16].replace('T', ' ')}  {kind}{' ' + step if step else ''}{at}")
    return lines


def of_known(k: Known) -> list[str]:
    """What the judged sheets have taught, for people."""
    if not k.boxes:
        return ["No box of paper is in the book yet. Add one: firstsheet own box …"]
    lines = [
        f"From {k.sheets} observation{'' if k.sheets == 1 else 's'}:"
        if k.sheets
        else "Nothing was judged yet; this is where we begin:"
    ]
    for b in k.boxes:
        began = f"EI {b.ei_began:.2g} ({b.ei_began_low:.2g} to {b.ei_began_high:.2g})"
        now = f"EI {b.ei_now:.2g} ({b.ei_low:.2g} to {b.ei_high:.2g})"
        lines += wrapped(
            f"Box {b.box}, {b.way_words}: {began}" + (f" at first, now {now}." if k.sheets else f"; {b.source}."), "  "
        )
    rows = [e for e in k.effects if not e.key.startswith("box:")]
    if rows:
        lines += heading("What else they showed (more light +, less −)")
        lines += [
            f"  {e.group + ': ' + e.words:52} {wording.stops(e.mean_stops):>10} {wording.stops_pm(e.sd_stops):>10}"
            for e in rows
        ]
    return lines


def of_misses(found: tuple[Missed, ...]) -> list[str]:
    """Each source of past misses with its share, largest first, and what makes the first smaller."""
    if not found:
        return ["Two judged sheets at least: until then there is nothing to part."]
    lines = wrapped("How far each judged sheet was from right, parted by what was not known when it was planned:")
    for m in found:
        between = f"9 in 10 between {wording.share(m.low)} and {wording.share(m.high)}"
        lines.append(
            f"  {wording.share(m.share):>8}  {m.group}, {wording.stops_apart(m.size_stops)} a sheet; {between}"
        )
    return lines + wrapped(f"Of {found[0].group}: {found[0].helps}")


def of_why(w: Why) -> list[str]:
    """The number, how far the sheets have moved it, and each of them."""
    of = "the next sheet" if w.of == "plan" else f"box {w.box}"
    lines = [f"{w.headline}: {of}."]
    if not w.moved:
        return [*lines, f"No sheet has moved it yet; its doubt is {wording.stops_pm(w.sd_stops)}."]
    lines += wrapped(f"Your sheets have moved it {wording.stops(w.mean_stops)} in all; its doubt is now {wording.stops_pm(w.sd_stops)}. "
                     "Each with all the others in place:")  # fmt: skip
    return lines + [line for m in w.moved for line in wrapped(m.words, "  ", "    ")]
