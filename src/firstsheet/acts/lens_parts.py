"""Discs, the blue of a single glass and pinholes, put into words and tables."""

from __future__ import annotations

import math

from firstsheet import wording
from firstsheet.acts.found import Figure, Found, Table
from firstsheet.answer import Z90
from firstsheet.camera import focus, measured
from firstsheet.camera.lens import Lens

HOLE_SD_MM = 0.3  # a hole cut by hand; common practice, no source
CARD_NOTES = [
    "Measured from the middle of the barrel; where in it the lens is stays unknown by a fiftieth of its focal length. Two sizes of one thing do not mind.",
]  # fmt: skip


def range90(value: float, sd: float | None) -> tuple[float | None, float | None]:
    return (None, None) if not sd else (value - Z90 * sd, value + Z90 * sd)


def discs_found(lens: Lens, holes: tuple[float, ...], stops: tuple[float, ...], widest_hole_mm: float | None) -> Found:
    """f-number of each hole and hole of each f-number, one table, widest first."""
    scale = measured.hole_scale(lens.focal_mm, lens.f_number, widest_hole_mm)
    pairs = [(h, measured.disc_f_number(lens.focal_mm, h, scale)) for h in holes]
    pairs += [(measured.disc_hole_mm(lens.focal_mm, n, scale), n) for n in stops]
    pairs.sort(key=lambda row: -row[0])
    rows, data, notes = [], [], []
    for hole, n in pairs:
        sd = 2 * math.log2(1 + HOLE_SD_MM / hole)
        down = 2 * math.log2(n / lens.f_number)
        rows.append((f"{hole:.1f} mm", wording.f_number(n), wording.stops_apart(down) if down > 0.05 else "wide open", f"±{sd:.2f} stop"))
        data.append({"hole_mm": hole, "f_number": n, "down_stops": down, "sd_stops": sd})
        if down < -0.05:
            notes.append(f"A hole of {hole:.1f} mm is wider than the lens: it changes nothing.")
    if widest_hole_mm is None:
        notes.append("Reckoned for a disc in front of the glass or at a single one. Between two glasses a hole looks wider than it is: say the real width of the widest opening.")
    marks = tuple(sorted(round(n, 1) for _, n in pairs if n >= lens.f_number * 0.97))
    first = "; ".join(f"{r[0]} is {r[1]}" for r in rows[:4]) + "."
    return Found("lens_discs", first, (), (Table("Discs", ("hole", "stop", "below the widest", "doubt of a hand-cut hole"), tuple(rows), tuple(data)),),
                 tuple(notes), keeps={"stops": list(marks)} if marks else {})  # fmt: skip


def blue_found(lens: Lens, abbe: float, subject_mm: float, board_mm: float) -> Found:
    """How far the board moves towards the lens from where the eye found it sharp, with what the paper's blue leaves open."""
    at = []
    for nm in measured.BLUE_NM:
        f_blue = lens.focal_mm * (1 - measured.blue_share(abbe, nm))
        at.append(board_mm - (focus.board_for_subject(f_blue, subject_mm) if math.isfinite(subject_mm) else f_blue))
    high, move, low = at
    n_eff = focus.effective_f_number(lens.f_number, focus.magnification_at_board(lens.focal_mm, board_mm), lens.pupil)
    left = max(high - move, move - low)
    return Found(
        "lens_single", f"Focus by eye, then move the board {move:.0f} mm nearer the lens.",
        (Figure("move_mm", "Nearer the lens by", f"{move:.0f} mm", move, "mm", f"{low:.0f} to {high:.0f} mm over the blue that the paper sees",
                "Cauchy’s law from the eye’s 555 nm to 450 nm; Abbe number", low, high),
         Figure("blur_mm", "Blur that stays, wide open", wording.length(left / n_eff), left / n_eff, "mm", "from the ends of the blue; half of it two stops down"),
         Figure("blur_unmoved_mm", "Blur if you do not move it", wording.length(move / n_eff), move / n_eff, "mm", f"at {wording.f_number(lens.f_number)}")),
        notes=("A pair of glasses cemented for the eye needs a fraction of this: take a test picture of a slanted rule.",),
        keeps={"abbe": abbe},
    )  # fmt: skip


def pinhole_found(board_mm: float, subject_mm: float) -> Found:
    """The best hole by each published factor, for blue and for green light, with its f-number."""
    rows, data = [], []
    for k in measured.PINHOLE_K:
        for nm in (450.0, 550.0):
            d = measured.best_pinhole_mm(board_mm, subject_mm, k, nm)
            data.append({"k": k, "wavelength_nm": nm, "hole_mm": d, "f_number": board_mm / d})
    for k in measured.PINHOLE_K:
        blue, green = (r for r in data if r["k"] == k)
        rows.append((f"{k:g}", f"{blue['hole_mm']:.2f} mm", f"{green['hole_mm']:.2f} mm", wording.f_number(blue["f_number"])))
    every = [r["hole_mm"] for r in data if r["wavelength_nm"] == 450.0]
    middle = measured.best_pinhole_mm(board_mm, subject_mm, 1.7, 450.0)
    return Found(
        "lens_pinhole", f"A hole of about {middle:.2f} mm, {wording.f_number(board_mm / middle)}; anything from {min(every):.2f} to {max(every):.2f} mm is somebody’s best.",
        (Figure("hole_mm", "For paper that sees blue", f"{middle:.2f} mm", middle, "mm", "the middle of what is published", "d = k·√(λ·f), k 1.41 to 2", min(every), max(every)),
         Figure("f_number", "f-number", wording.f_number(board_mm / middle), board_mm / middle, "1", "board ÷ hole: the extension is in it")),
        (Table("By the factor k", ("k", "blue, 450 nm", "green, 550 nm", "f-number, blue"), tuple(rows), tuple(data)),),
        ("The factors differ by a third, from counting only geometry to a quarter of a wave: a smaller hole is darker and not sharper.",),
    )  # fmt: skip
