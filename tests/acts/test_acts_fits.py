"""The map and the lens to buy, as asked for."""

import pytest

from firstsheet.acts import fits
from firstsheet.refusal import Refusal
from tests.acts.test_acts_lens import book  # noqa: F401


def test_the_map_and_one_reason(book):  # noqa: F811
    found = fits.fits_here(book, {})
    assert len(found.tables[0].data) == 48
    assert "can be made" in found.first
    one = fits.fits_here(book, {"size": "16x20 in", "subject": "1.2 m"})
    assert one.first == "16 × 20 in, sitter at 1.2 m: too close: the board would have to stand 1200 mm back; it goes to 1100 mm."
    link = found.tables[0].links[0][1]
    assert link.startswith("?camera=boathouse&size=203.2x254+mm&subject=")


def test_which_lens(book):  # noqa: F811
    found = fits.lenses(book, {"magnification": "half", "size": "16x20 in"})
    assert found.first == "0.5 × life-size on 16 × 20 in: a lens from 511 to 733 mm."
    assert [r["focal_mm"] for r in found.tables[0].data] == [420, 480, 540, 600]
    assert fits.lenses(book, {"magnification": "1", "size": "16x20 in", "outside": "1 m"}).first.startswith("No lens makes 1 × life-size")
    with pytest.raises(Refusal) as told:
        fits.lenses(book, {"size": "16x20 in", "coverage": "200°"})
    assert {p.where for p in told.value.problems} == {"coverage", "magnification"}
    with pytest.raises(Refusal, match="2000 mm wide"):
        fits.lenses(book, {"head": "115 mm", "size": "3 x 1 m"})
