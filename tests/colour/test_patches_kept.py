"""A masked sheet as a sheet of the book: code, box's count, its run; read from its photo and from nothing else. The boathouse is invented."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from firstsheet.acts import expose, judge, pack, pack_ring, plan, sheet_track
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal


def _photo(found):
    """The finished sheet in daylight beside a white, all patches one grey: drawn, not photographed."""
    picture = Image.new("RGB", (1000, 900), (240, 240, 240))
    picture.paste((110, 112, 116), (100, 50, 710, 863))
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=95, subsampling=0)
    return out.getvalue()


READ = {"light": "sun", "white": "0.9,0.5", "corners": "0.1,0.0556 0.71,0.0556 0.71,0.9589 0.1,0.9589"}


def test_patches_become_a_sheet_and_are_read_as_it(book):
    with pytest.raises(Refusal, match="patches come first"):
        pack_ring.make(book, {"light": "sun"})
    asked = pack_ring.keep(book, {"light": "sun", "patches": "6"})
    left = plan.plan(book).sheets_left
    made = pack_ring.make(book, {"light": "sun", "sun": "seen"})
    assert made.patches == tuple(", ".join(r[1:]) for r in asked.tables[0].rows)
    assert sheet(book, made.code).patches == made.patches
    assert made.code in " ".join(pack_ring.ring(book, {"light": "sun"}).notes)
    # one sheet off the box, once, and none of the ways in which a sheet of one picture is told
    with pytest.raises(Refusal, match="no one time"):
        expose.expose(book, made.code, {"given": "3 s"})
    expose.expose(book, made.code)
    assert plan.plan(book).sheets_left == left - 1
    for act, form in ((judge.judge, {"border": "black", "seen": "too_dark"}), (lambda b, c, f: pack.told(b, {"sheet": c, **f}), {"colour": "blue"})):
        with pytest.raises(Refusal, match="one picture"):
            act(book, made.code, form)
    with pytest.raises(Refusal, match="by hand"):
        sheet_track.of(book, made.code)
    # nor are they lost by asking for others
    for form in ({"patches": "6", "again": "yes"}, {"patches": "4"}):
        with pytest.raises(Refusal, match=made.code):
            pack_ring.keep(book, {"light": "sun", **form})
    with pytest.raises(Refusal, match=made.code):
        pack_ring.make(book, {"light": "sun", "sun": "seen"})
    found = pack_ring.read(book, READ, _photo(asked))
    assert "6 of 6 patches read" in " ".join(found.notes)
    assert pack_ring.waits(book, "sun", "C") == 0
    assert pack_ring.keep(book, {"light": "sun", "patches": "4"}).tables[0].rows  # the next may be asked for


def test_a_masked_sheet_that_was_given_up_frees_its_patches(book):
    from firstsheet.acts.sheet import mark

    pack_ring.keep(book, {"light": "sun", "patches": "4"})
    made = pack_ring.make(book, {"light": "sun", "sun": "seen"})
    mark(book, book.get_sheet(made.code), "abandoned", {})
    assert pack_ring.kept_as(book, "sun", "C") == ""
    assert pack_ring.keep(book, {"light": "sun", "again": "yes"}).tables[0].rows


def test_patches_need_a_plan_in_their_light(book):
    pack_ring.keep(book, {"light": "overcast", "patches": "4", "seconds": "20 s"})
    with pytest.raises(Refusal, match="light and box of the plan"):
        pack_ring.make(book, {"light": "overcast", "sun": "seen"})
