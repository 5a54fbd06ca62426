"""A photo of the result, its border, five versions, one touched, and the plan that follows. Directions are the trade's own:
a positive too dark wants more light, a negative too dark wants less (common practice, no source)."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from firstsheet.acts import versions
from firstsheet.acts.sheet import sheet
from firstsheet.refusal import Refusal
from tests.acts.evening import begun
from tests.foresee.sheets import BORDER_AT, WHITE_AT, Print, photo, table

WAYS = {"negative": ("enlarging", 1), "positive": ("direct_positive", -1)}
PLACES = {"white": f"{WHITE_AT[0]},{WHITE_AT[1]}", "border": f"{BORDER_AT[0]},{BORDER_AT[1]}"}
both = pytest.mark.parametrize("kind", WAYS)


def evening(kind, curve=True):
    paper, sense = WAYS[kind]
    e = begun(paper, ei="4")
    if curve:
        way = "paper_negative" if sense > 0 else "direct_positive"
        log_h, density = table(sense)
        e.book.add_thing("curve", f"A in tray one, {way}", {"box": "A", "developer": "tray one", "way": way, "kind": "reflection",
                                                          "log_h": log_h, "density": density})  # fmt: skip
    code = e.keep()
    e.expose(code)
    return e, code, Print(sense)


def shown(e, code, made, **form):
    return versions.make(e.book, code, photo(made.density()), PLACES | form)


@both
@pytest.mark.parametrize(
    ("words", "positive"), [("lighter", "more"), ("darker", "less"), ("much lighter", "more"), ("much darker", "less")]
)
def test_what_is_touched_moves_the_plan_the_right_way(kind, words, positive):
    e, code, made = evening(kind)
    before = e.plan().wanted_s
    found = shown(e, code, made)
    change = versions.touch(e.book, code, found.picture, PLACES | {"version": words, "wet": "no"})
    assert change.taught
    more = (positive == "more") == (kind == "positive")
    asked = sheet(e.book, code).judgement["need_stops"]
    assert asked > 0 if more else asked < 0
    assert e.plan().wanted_s > before if more else e.plan().wanted_s < before


@both
def test_the_last_word_is_the_exposure_it_was_drawn_with(kind):
    """“+1/2” is half a stop more light on any paper; only its looks differ."""
    e, code, made = evening(kind)
    found = shown(e, code, made)
    versions.touch(e.book, code, found.picture, PLACES | {"version": "+1/2", "wet": "no"})
    judged = sheet(e.book, code).judgement
    assert judged["need_stops"] == 0.5
    assert judged["seen"] == "version +½, " + ("lighter" if kind == "positive" else "darker")
    assert judged["picture"] == found.picture
    assert judged["need_sd"] >= 0.25
    assert found.picture in sheet(e.book, code).pictures


@both
def test_a_wet_sheet_is_judged_as_it_will_be_dry(kind):
    """It dries a tenth darker, log2(1.1) ≈ 0.15 stop, common practice, no source: as it is now, it would come out too dark."""
    e, code, made = evening(kind)
    found = shown(e, code, made)
    versions.touch(e.book, code, found.picture, PLACES | {"version": "as it is"})
    need = sheet(e.book, code).judgement["need_stops"]
    assert need == pytest.approx(0.15 if kind == "positive" else -0.15)


@both
def test_darkest_first_and_told_by_tone_alone(kind):
    e, code, made = evening(kind)
    found = shown(e, code, made)
    assert [v.words for v in found.versions] == ["much darker", "darker", "as it is", "lighter", "much lighter"]
    assert found.versions[2].stops == 0
    greys = []
    for v in found.versions:
        picture = Image.open(io.BytesIO(versions.drawn(e.book, code, found.picture, PLACES, v.words)))
        greys.append(picture.convert("L").resize((1, 1), box=(120, 90, 760, 560)).getpixel((0, 0)))
    assert greys == sorted(greys)
    assert len(set(greys)) == 5
    wide = Image.open(io.BytesIO(versions.strip(e.book, code, found.picture, PLACES)))
    assert wide.width > 5 * picture.width


@both
def test_fog_offers_no_speed(kind):
    e, code, made = evening(kind)
    fogged = Print(made.sense, border_d=0.6 if made.sense > 0 else 1.0)
    found = shown(e, code, fogged)
    assert found.border.says == "fogged"
    assert "fog, not exposure" in found.border.words
    assert not found.versions
    known = e.standing()
    with pytest.raises(Refusal, match="fog"):
        versions.touch(e.book, code, found.picture, PLACES | {"version": "lighter"})
    with pytest.raises(Refusal):
        versions.drawn(e.book, code, found.picture, PLACES, "lighter")
    assert sheet(e.book, code).judgement is None
    assert e.standing() == known


@both
def test_a_border_said_by_eye(kind):
    e, code, made = evening(kind)
    found = versions.make(e.book, code, photo(made.density()), {"white": PLACES["white"]})
    assert found.border is None
    assert len(found.versions) == 5
    place = {"white": PLACES["white"], "version": "lighter"}
    with pytest.raises(Refusal, match="covered"):
        versions.touch(e.book, code, found.picture, place)
    change = versions.touch(e.book, code, found.picture, place | {"border": "grey"})
    assert not change.taught
    change = versions.touch(e.book, code, found.picture, place | {"border": found.border_should_be})
    assert change.taught


def test_doubt_is_wider_through_a_stand_in_and_where_detail_is_gone():
    sds = {}
    for name, curve, made in (
        ("measured", True, Print(-1)),
        ("stand-in", False, Print(-1)),
        ("black", True, Print(-1, -2.5)),
    ):
        e, code, _ = evening("positive", curve)
        found = shown(e, code, made)
        assert found.curve_measured is curve
        versions.touch(e.book, code, found.picture, PLACES | {"version": "lighter", "wet": "no"})
        sds[name] = sheet(e.book, code).judgement["need_sd"]
        if name == "black":
            d = made.density()
            assert found.unknown == pytest.approx(((d > 1.85 - 0.06) | (d < 0.08 + 0.04)).mean(), abs=0.06)
            assert any("dead black" in n for n in found.notes)
        if name == "stand-in":
            assert any("stands in" in n for n in found.notes)
    assert sds["stand-in"] > sds["measured"] + 0.02
    assert sds["black"] > sds["measured"] + 0.02


def test_a_whole_sheet_right_when_touched_as_meant():
    """A sheet given half a stop too little: the version that equals the right one, by the forward model, is “+1/2”."""
    e, code, _ = evening("positive")
    found = shown(e, code, Print(-1, -0.5))
    right = Print(-1).density()[90:560, 120:760]
    off = {}
    for v in found.versions:
        codes = Image.open(io.BytesIO(versions.drawn(e.book, code, found.picture, PLACES, v.key))).convert("L")
        face = np.asarray(codes.crop((120, 90, 760, 560)).resize((64, 47))).ravel().tolist()
        y = [((c / 255 + 0.055) / 1.055) ** 2.4 / 0.9 for c in face]  # sRGB [IEC-61966-2-1]
        truth = [10 ** (0.05 - d) for d in right[5::10, 5::10].ravel()]
        off[v.key] = sum(abs(a - b) for a, b in zip(y, truth, strict=True))
    assert min(off, key=off.get) == "+1/2"


def test_it_can_be_taken_back():
    from firstsheet.acts import judge

    e, code, made = evening("positive")
    e.sheet("as_wanted", "black")
    known = e.standing()
    found = shown(e, code, made)
    versions.touch(e.book, code, found.picture, PLACES | {"version": "lighter"})
    assert e.standing() != known
    judge.take_back(e.book, code)
    assert e.standing() == known


def test_what_cannot_be_is_refused():
    e, code, made = evening("positive")
    data = photo(made.density())
    for form in ({}, {"white": "here"}, {"white": "2,0"}, PLACES | {"what": "1"}, {"white": "0.5,0.06"}):
        with pytest.raises(Refusal):
            versions.make(e.book, code, data, form)
    found = versions.make(e.book, code, data, PLACES)
    for form in ({"version": "sideways"}, {"version": "+2"}, {}, {"version": "1/0"}):
        with pytest.raises(Refusal):
            versions.touch(e.book, code, found.picture, PLACES | form)
    with pytest.raises(Refusal):
        versions.look(e.book, code, found.picture + 1, PLACES)
    other = e.keep()
    with pytest.raises(Refusal, match="exposed"):
        versions.take_in(e.book, other, data)
    e.expose(other)
    with pytest.raises(Refusal):
        versions.look(e.book, other, found.picture, PLACES)  # another sheet's photo
    strip = e.keep(strip=True)
    e.expose(strip)
    with pytest.raises(Refusal, match="strip"):
        versions.make(e.book, strip, data, PLACES)


def test_the_third_miss_of_a_kind_says_stop():
    """Third miss: suspect the bath, no whole sheet until a scrap has decided; common practice, no source."""
    e, _, made = evening("positive")
    told = []
    for _ in range(3):
        code = e.keep()
        e.expose(code)
        found = shown(e, code, made)
        told.append(
            versions.touch(e.book, code, found.picture, PLACES | {"version": "much lighter", "wet": "no"}).next_time
        )
    assert [any("stop" in w for w in words) for words in told] == [False, False, True]
    assert len(told[2]) >= 2
