"""Focus, head, tilt and magnets from photos of the board, against boards built here by geometry. Synthetic."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
from PIL import Image

from firstsheet.acts import composing, photo
from firstsheet.refusal import Refusal
from tests.acts.evening import begun
from tests.foresee import test_focus

SHEET = (304.8, 406.4)  # 12 × 16 in [mm]
PHOTO = (400, 500)
CORNERS_PX = [(60.0, 40.0), (340.0, 55.0), (330.0, 460.0), (75.0, 450.0)]


def kept(e, plane=None, size=PHOTO):
    y = np.full((size[1], size[0]), 0.3) if plane is None else np.asarray(plane, dtype=float)
    y = np.clip(y, 0, 1)
    code = np.where(y <= 0.0031308, 12.92 * y, 1.055 * y ** (1 / 2.4) - 0.055)
    out = io.BytesIO()
    Image.fromarray(np.rint(255 * code).astype(np.uint8)).convert("RGB").save(out, "JPEG", quality=97)
    return photo.take_in(e.book, out.getvalue()).picture


def in_photo(mm):
    """A place on the sheet [mm] as a fraction of the photo: the projective map of the four corners, solved here."""
    ends = [(0, 0), (SHEET[0], 0), SHEET, (0, SHEET[1])]
    rows, right = [], []
    for (u, v), (x, y) in zip(ends, CORNERS_PX, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -u * x, -v * x], [0, 0, 0, u, v, 1, -u * y, -v * y]]
        right += [x, y]
    a = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
    x, y, w = a @ np.array([mm[0], mm[1], 1.0])
    return f"{x / w / PHOTO[0]:.5f},{y / w / PHOTO[1]:.5f}"


CORNERS = " ".join(f"{x / PHOTO[0]:.5f},{y / PHOTO[1]:.5f}" for x, y in CORNERS_PX)


def figure(found, key):
    return next(f for f in found.figures if f.key == key)


def test_the_board_is_set_to_the_mark_that_was_sharp():
    e = begun("direct_positive", ei="4")
    rng = np.random.default_rng(8)
    eye = test_focus.eye(rng)
    found = None
    for mark in (740, 746, 752, 758, 764):
        number = kept(e, test_focus.at_mark(eye, mark - 751.0, rng))
        found = composing.add_focus(e.book, number, {"mark": f"{mark} mm", "at": "0.5,0.5"})
    assert figure(found, "mark_mm").value == pytest.approx(751.0, abs=2.0)
    assert "Set the board to" in found.first
    assert "0 of at least 3" in composing.begin_focus(e.book).first


def test_a_head_is_measured_by_the_sheet_s_corners():
    e = begun("direct_positive", ei="4")
    found = composing.compose(e.book, kept(e), {"corners": CORNERS, "chin": in_photo((150, 120)), "crown": in_photo((150, 205))})
    assert figure(found, "head_mm").value == pytest.approx(85.0, rel=0.005)


@pytest.mark.parametrize("tilt", [6.0, -5.0, 0.0])
def test_a_leaning_board_is_told_by_what_converges(tilt):
    """m grows in proportion to the way from the lens: two uprights of the scene on a board leaning by θ lie s(1 + y·tan θ/v) apart."""
    e = begun("direct_positive", ei="4")
    v = e.plan().board_mm
    turn = math.tan(math.radians(tilt)) / v
    ends = []
    for x0 in (-100.0, 100.0):
        ends.append(" ".join(in_photo((SHEET[0] / 2 + x0 * (1 + y * turn), SHEET[1] / 2 + y)) for y in (-150.0, 150.0)))
    found = composing.compose(e.book, kept(e), {"corners": CORNERS, "left": ends[0], "right": ends[1]})
    assert figure(found, "tilt_deg").value == pytest.approx(tilt, abs=0.1)
    assert ("Upright" in " ".join(found.notes)) == (tilt == 0.0)


def test_a_magnet_s_shadow_by_hand():
    """20 mm broad, 6 mm thick, 600/16 mm of glass 750 mm away: soft over 6·37.5/750 = 0.3 mm."""
    e = begun("direct_positive", ei="4")
    found = composing.compose(e.book, kept(e), {"corners": CORNERS, "magnet": "20 mm", "thick": "6 mm"})
    assert figure(found, "magnet_mm").value == pytest.approx(20.15, abs=0.01)


def test_half_a_question_is_asked_back_all_at_once():
    e = begun("direct_positive", ei="4")
    with pytest.raises(Refusal) as refused:
        composing.compose(e.book, kept(e), {"corners": "0,0", "chin": "0.5,0.5", "left": "0.1,0.1 0.1,0.9", "thick": "5 mm"})
    assert {p.where for p in refused.value.problems} == {"corners", "crown", "right", "magnet"}
