"""Which way round a sheet comes, by rays: a point of the scene, the lens at the origin, its picture on the board, the sheet taken down and
turned upright. Scene and photos synthetic."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from firstsheet.acts import ahead, photo
from tests.acts_ahead.test_ahead import as_jpeg, evening

# By quadrant, as one sees the scene from the lens: upper left, upper right, lower left, lower right [1, of the mid-tone].
LIGHTS = {(-1, 1): 0.25, (1, 1): 0.6, (-1, -1): 1.5, (1, -1): 4.0}


def from_the_lens(wide, high):
    """A photo of the scene from the lens: u to the right, v upward."""
    u, v = np.meshgrid(np.linspace(-1, 1, wide), np.linspace(1, -1, high))
    return np.select([(u < 0) & (v > 0), (u >= 0) & (v > 0), (u < 0) & (v <= 0)], [LIGHTS[-1, 1], LIGHTS[1, 1], LIGHTS[-1, -1]], LIGHTS[1, -1])


def on_the_board(wide, high):
    """The board facing it. y up, the sitter at +z: looking there, right is −x; looking back at the board, right is +x. A ray from (X, Y)
    through the lens meets the board at (−X, −Y)."""
    right, up = np.meshgrid(np.linspace(-1, 1, wide), np.linspace(1, -1, high))
    x, y = -right, -up  # of the point of the scene
    u, v = -x, y  # as seen from the lens
    return np.select([(u < 0) & (v > 0), (u >= 0) & (v > 0), (u < 0) & (v <= 0)], [LIGHTS[-1, 1], LIGHTS[1, 1], LIGHTS[-1, -1]], LIGHTS[1, -1])


def quadrants(e, jpeg, **form):
    number = photo.take_in(e.book, jpeg).picture
    drawn = np.asarray(Image.open(io.BytesIO(ahead.drawn(e.book, number, {"pose": "rested", "flare": "0"} | form))).convert("L")).astype(float)
    high, wide = drawn.shape
    cut = {-1: (0.1, 0.4), 1: (0.6, 0.9)}
    return (wide, high), {(u, v): drawn[int(cut[-v][0] * high) : int(cut[-v][1] * high), int(cut[u][0] * wide) : int(cut[u][1] * wide)].mean() for u, v in LIGHTS}


@pytest.mark.parametrize("size", [(300, 400), (400, 300)], ids=["on end", "lying"])
@pytest.mark.parametrize("corners", ["", "0.02,0.02 0.98,0.02 0.98,0.98 0.02,0.98"], ids=["whole", "corners"])
@pytest.mark.parametrize(("paper", "shows"), [("direct_positive", "sheet"), ("enlarging", "sheet"), ("enlarging", "print")])
def test_the_sheet_and_its_print_lie_as_the_rays_have_it(size, corners, paper, shows):
    """A sheet seen from its emulsion is the scene left for right; its contact print, emulsion to emulsion, is the scene."""
    e = evening(paper, -1 if paper == "direct_positive" else 1, curve=False)
    found = []
    for of, made in (("board", on_the_board), ("scene", from_the_lens)):
        shape, seen = quadrants(e, as_jpeg(0.15 * made(*size)), of=of, shows=shows, face="0.8,0.8" if of == "board" else "0.8,0.2", tone="grey_card", **({"corners": corners} if corners else {}))
        assert (shape[0] > shape[1]) == (size[0] > size[1])
        as_seen = seen if shows == "print" else {(-u, v): s for (u, v), s in seen.items()}
        order = sorted(as_seen, key=as_seen.__getitem__, reverse=paper == "enlarging" and shows == "sheet")
        assert order == sorted(LIGHTS, key=LIGHTS.__getitem__)
        found.append(seen)
    if not corners:  # light and lens's fall-off apart, both photos tell the same
        assert all(abs(found[0][q] - found[1][q]) < 12 for q in LIGHTS)


def test_a_phone_held_on_its_side_is_turned_by_what_its_file_says():
    """Orientation 6: the camera's upper edge is at the right; the stored rows are the upright picture turned a quarter left. [CIPA-DC-008]"""
    e = evening()
    upright = 0.15 * on_the_board(300, 400)
    exif = Image.Exif()
    exif[0x0112] = 6
    with Image.open(io.BytesIO(as_jpeg(np.rot90(upright)))) as stored:
        out = io.BytesIO()
        stored.save(out, "JPEG", quality=95, exif=exif)
    (a, turned), (b, plain) = (quadrants(e, jpeg, of="board") for jpeg in (out.getvalue(), as_jpeg(upright)))
    assert a == b
    assert all(abs(turned[q] - plain[q]) < 3 for q in LIGHTS)
