"""Photos taken in and metered from, against pictures rendered by an independent forward model."""

from __future__ import annotations

import io
import math
import struct
import tomllib
import zlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from firstsheet.light.exif import Exposure
from firstsheet.light.photo import receive
from firstsheet.light.spot import dark_sd_stops, spot_luminance
from firstsheet.refusal import Refusal

from .pictures import TAKEN, as_file, camera_y, display_p3_profile, exif_bytes, flat, srgb_code

SET = (2.0, 1 / 125, 100)


def stops_off(got, true):
    return abs(math.log2(got / true))


@pytest.mark.parametrize("luminance", [30, 76.923, 200])
@pytest.mark.parametrize("form", ["JPEG", "PNG", "HEIF"])
def test_known_luminance(form, luminance):
    """Rendered by H = 0.65·L·t/N² and IEC 61966-2-1; one 8-bit code is at most 0.03 stop here."""
    if form == "HEIF":
        import pillow_heif

        pillow_heif.register_heif_opener()
    codes = flat(camera_y(luminance, *SET))
    more = {"quality": 95} if form == "HEIF" else {}
    got = receive(as_file(codes, form, exif_bytes(*SET), **more))
    assert got.exposure.f_number == 2.0
    assert got.exposure.time_s == pytest.approx(1 / 125, rel=1e-4)
    assert got.exposure.iso == 100
    assert got.exposure.taken == TAKEN
    spot = spot_luminance(got.kept_jpeg, got.exposure, 0.5, 0.5)
    assert stops_off(spot.luminance_cdm2, luminance) < 0.04
    assert spot.sd_stops == pytest.approx(0.2, abs=0.03)
    assert not spot.at_least


def test_focal_plane_exposure_of_the_reference_library():
    """colour-hdri 0.2.6: H_a(4000 cd/m², f/8, 1/250 s) = 0.1628937 lx·s with q 0.65157, EI = 10/H_a = 61.390.

    At that ISO it is at Y 0.18, so 4000 cd/m² comes back, but for q 0.65 (0.0035 stop) and 8 bits.
    """
    got = receive(as_file(flat(0.18)))
    book = Path(__file__).parents[2] / "authorities/light/cases.toml"
    cases = tomllib.loads(book.read_text(encoding="utf-8"))
    case = next(c for c in cases["case"] if c["id"] == "focal-plane-exposure")
    asked = case["inputs"]
    exposure = Exposure(asked["f_number"], asked["time_s"], case["expected"]["ei"])
    spot = spot_luminance(got.kept_jpeg, exposure, 0.5, 0.5)
    assert stops_off(spot.luminance_cdm2, asked["luminance_cdm2"]) < 0.02


def test_the_trap_is_a_step():
    """A camera's mid-tone is 10/S, a meter's 8.125/S: log2(10/8.125) = 0.2996 stop."""
    spot = spot_luminance(receive(as_file(flat(0.18))).kept_jpeg, Exposure(*SET), 0.5, 0.5)
    assert any(s.stops == pytest.approx(0.2996, abs=5e-5) for s in spot.steps)


def corners(wide=400, high=300):
    """Four tones, one a corner, all different, of 25, 50, 100, 200 × a base; upright."""
    y = np.empty((high, wide))
    y[: high // 2, : wide // 2], y[: high // 2, wide // 2 :] = 0.05, 0.10
    y[high // 2 :, : wide // 2], y[high // 2 :, wide // 2 :] = 0.20, 0.40
    return np.repeat(srgb_code(y)[:, :, None], 3, axis=2)


# how the stored rows and columns lie when the upright picture is wanted (EXIF, Orientation, from memory)
STORED = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: np.rot90(a, 1),
    7: lambda a: a[::-1, ::-1].transpose(1, 0, 2),
    8: lambda a: np.rot90(a, -1),
}


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("form", ["JPEG", "PNG"])
def test_every_orientation_lands_the_same_spot(form, orientation):
    stored = np.ascontiguousarray(STORED[orientation](corners()))
    got = receive(as_file(stored, form, exif_bytes(*SET, orientation=orientation)))
    assert (got.width, got.height) == (400, 300)
    for x, y, true in [(0.2, 0.2, 0.05), (0.8, 0.2, 0.10), (0.2, 0.8, 0.20), (0.8, 0.8, 0.40)]:
        assert spot_luminance(got.kept_jpeg, got.exposure, x, y).relative_y == pytest.approx(true, rel=0.02)


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_heic_is_turned_once(orientation):
    import pillow_heif

    pillow_heif.register_heif_opener()
    stored = np.ascontiguousarray(STORED[orientation](corners()))
    got = receive(as_file(stored, "HEIF", exif_bytes(*SET, orientation=orientation), quality=95))
    assert (got.width, got.height) == (400, 300)
    assert spot_luminance(got.kept_jpeg, got.exposure, 0.8, 0.8).relative_y == pytest.approx(0.40, rel=0.03)
    assert spot_luminance(got.kept_jpeg, got.exposure, 0.2, 0.2).relative_y == pytest.approx(0.05, rel=0.03)


def segments(jpeg):
    """Markers before the picture data (ITU-T T.81)."""
    at, found = 2, []
    while jpeg[at + 1] != 0xDA:
        found.append((jpeg[at + 1], jpeg[at + 4 : at + 16]))
        at += 2 + struct.unpack(">H", jpeg[at + 2 : at + 4])[0]
    return found


@pytest.mark.parametrize("form", ["JPEG", "PNG", "HEIF"])
def test_nothing_about_places_or_people_is_kept(form):
    import pillow_heif

    pillow_heif.register_heif_opener()
    more = {"xmp": b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>SECRETPLACE</x:xmpmeta>"} if form != "PNG" else {}
    data = as_file(flat(0.2), form, exif_bytes(*SET, gps=True), icc_profile=display_p3_profile(), **more)
    assert b"SECRETMAKER" in data  # it was there
    got = receive(data)
    for trace in (b"Exif", b"GPS", b"SECRET", b"xmp", b"adobe", b"ICC_PROFILE", b"http"):
        assert trace not in got.kept_jpeg
    applications = [s for s in segments(got.kept_jpeg) if 0xE0 <= s[0] <= 0xEF or s[0] == 0xFE]
    assert [m for m, _ in applications] == [0xE0]
    assert applications[0][1].startswith(b"JFIF\0")
    with Image.open(io.BytesIO(got.kept_jpeg)) as kept:
        assert not kept.getexif()
    assert "52" not in repr(got.exposure)


def test_wide_gamut_photo_keeps_its_luminance():
    """Display P3 → sRGB leaves Y alone: P3 weights 0.22897, 0.69174, 0.07929 (CSS Color 4).

    Read as sRGB the same codes would give Y too high or low, so the profile must have been used.
    """
    linear = np.array([0.45, 0.22, 0.15])
    codes = np.full((200, 200, 3), srgb_code(linear), dtype=np.uint8)
    true_y = float(linear @ [0.22897, 0.69174, 0.07929])
    got = receive(as_file(codes, "PNG", exif_bytes(*SET), icc_profile=display_p3_profile()))
    with Image.open(io.BytesIO(got.kept_jpeg)) as kept:
        r, g, b = kept.getpixel((100, 100))
    # CSS Color 4: linear P3 → linear sRGB
    matrix = np.array([[1.2249, -0.2247, 0.0], [-0.0420, 1.0419, 0.0], [-0.0197, -0.0786, 1.0979]])
    assert np.abs(np.array([r, g, b], dtype=int) - srgb_code(matrix @ linear)).max() <= 2
    assert spot_luminance(got.kept_jpeg, got.exposure, 0.5, 0.5).relative_y == pytest.approx(true_y, rel=0.02)


def test_the_mean_is_of_light_not_of_codes():
    """A fine chequer has half its white's Y, made smaller or not; a mean of codes would give 0.2 of it."""
    for wide in (400, 4200):
        chequer = np.indices((300, wide)).sum(axis=0) % 2
        codes = np.repeat((chequer * 200).astype(np.uint8)[:, :, None], 3, axis=2)
        got = receive(as_file(codes, "PNG", exif_bytes(*SET)))
        assert max(got.width, got.height) <= 2000
        white = ((200 / 255 + 0.055) / 1.055) ** 2.4  # IEC 61966-2-1
        y = spot_luminance(got.kept_jpeg, got.exposure, 0.5, 0.5, 0.2).relative_y
        assert y == pytest.approx(white / 2, rel=0.02)


def test_large_photo_is_made_small():
    codes = np.repeat(np.linspace(0, 255, 8000).astype(np.uint8)[None, :, None], 6000, axis=0).repeat(3, axis=2)
    got = receive(as_file(codes, "JPEG", exif_bytes(*SET), quality=80))
    assert (got.width, got.height) == (2000, 1500)
    for x in (0.3, 0.5, 0.8):
        true = ((x + 0.055) / 1.055) ** 2.4
        assert spot_luminance(got.kept_jpeg, got.exposure, x, 0.5).relative_y == pytest.approx(true, rel=0.03)


@pytest.mark.parametrize("mode", ["L", "LA", "P", "RGBA", "CMYK", "1", "I;16"])
def test_other_kinds_of_pixel(mode):
    code = int(srgb_code(0.2))
    form = "JPEG" if mode == "CMYK" else "PNG"
    if mode == "I;16":
        picture = Image.fromarray(np.full((60, 80), code * 257, dtype=np.uint16))
    else:
        picture = Image.new("RGB", (80, 60), (code, code, code))
        picture = picture.quantize(4) if mode == "P" else picture.convert(mode)
    more = {"subsampling": -1} if mode == "CMYK" else {}
    got = receive(as_file(picture, form, **more))
    if mode != "1":
        y = spot_luminance(got.kept_jpeg, Exposure(*SET), 0.5, 0.5).relative_y
        assert y == pytest.approx(0.2, rel=0.05)


def test_apex_values_stand_in():
    """N = √(2^Av), t = 2^−Tv (EXIF): Av 4 is f/4, Tv 7 is 1/128 s."""
    data = as_file(flat(0.2), exif=exif_bytes(None, None, 200, x9202=4.0, x9201=7.0))
    exposure = receive(data).exposure
    assert exposure.f_number == pytest.approx(4.0)
    assert exposure.time_s == pytest.approx(1 / 128)


def test_missing_iso_is_asked_not_guessed():
    got = receive(as_file(flat(0.2), exif=exif_bytes(2.0, 1 / 125, None)))
    assert any("ISO" in w for w in got.warnings)
    with pytest.raises(Refusal) as caught:
        spot_luminance(got.kept_jpeg, got.exposure, 0.5, 0.5)
    assert len(caught.value.problems) == 1
    assert "ISO" in caught.value.problems[0].asked
    assert spot_luminance(got.kept_jpeg, got.exposure.filled(iso=100, f_number=99), 0.5, 0.5).luminance_cdm2 > 0
    with pytest.raises(Refusal):
        got.exposure.filled(iso=0)


def test_a_screenshot_says_all_it_lacks():
    got = receive(as_file(flat(0.2), "PNG"))
    assert any("screenshot" in w for w in got.warnings)
    with pytest.raises(Refusal) as caught:
        spot_luminance(got.kept_jpeg, got.exposure, 0.5, 0.5)
    assert len(caught.value.problems) == 3


def test_impossible_figures_count_as_missing():
    for bad in (0.0, 1e9):
        assert receive(as_file(flat(0.2), exif=exif_bytes(bad, 1 / 125, 100))).exposure.f_number is None


def test_night_and_composite_are_told():
    plain = receive(as_file(flat(0.2), exif=exif_bytes(*SET)))
    assert plain.warnings == ()
    for tag, value, word in [("xA460", 3, "several"), ("xA406", 3, "night"), ("xA401", 1, "processed")]:
        got = receive(as_file(flat(0.2), exif=exif_bytes(*SET, **{tag: value})))
        assert any(word in w for w in got.warnings)


def test_clipped():
    codes = flat(0.3)
    codes[:, :160] = 255
    got = receive(as_file(codes, exif=exif_bytes(*SET)))
    assert got.clipped_fraction == pytest.approx(0.5, abs=0.02)
    assert any("clipped" in w for w in got.warnings)
    bound = spot_luminance(got.kept_jpeg, got.exposure, 0.52, 0.5, 0.1)
    assert bound.at_least
    assert 0.05 < bound.clipped_fraction < 0.5
    assert any("higher" in w for w in bound.warnings)
    with pytest.raises(Refusal):
        spot_luminance(got.kept_jpeg, got.exposure, 0.2, 0.5)


def test_dark():
    """Half a code on the straight part, code 12.92·Y, is 0.5/(255·12.92) in Y; with 0.002 of glare (stated)."""
    y = 0.002
    expected = math.hypot(0.5 / 255 / 12.92, 0.002) / y / math.log(2)
    assert dark_sd_stops(y) == pytest.approx(expected)
    got = receive(as_file(flat(y), exif=exif_bytes(*SET)))
    spot = spot_luminance(got.kept_jpeg, got.exposure, 0.5, 0.5)
    assert spot.sd_stops > 1.0
    assert any("dark" in w for w in spot.warnings)
    black = receive(as_file(flat(0.0), exif=exif_bytes(*SET)))
    with pytest.raises(Refusal):
        spot_luminance(black.kept_jpeg, black.exposure, 0.5, 0.5)


@pytest.mark.parametrize(("x", "y", "r"), [(-0.1, 0.5, 0.02), (0.5, 1.1, 0.02), (math.nan, 0.5, 0.02), (0.5, 0.5, 0)])
def test_outside(x, y, r):
    kept = receive(as_file(flat(0.2))).kept_jpeg
    with pytest.raises(Refusal):
        spot_luminance(kept, Exposure(*SET), x, y, r)


def test_the_very_corners_are_inside():
    got = receive(as_file(corners(), exif=exif_bytes(*SET)))
    assert spot_luminance(got.kept_jpeg, got.exposure, 1.0, 1.0, 0.001).relative_y == pytest.approx(0.4, rel=0.03)
    assert spot_luminance(got.kept_jpeg, got.exposure, 0.0, 0.0, 0.001).relative_y == pytest.approx(0.05, rel=0.03)


def bomb(width, height):
    """A PNG of many pixels and few bytes, by PNG 1.2."""

    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")


JPEG = as_file(corners(), exif=exif_bytes(*SET))


@pytest.mark.parametrize(
    ("data", "word"),
    [
        (b"", "empty"),
        (b"dear all, the boathouse is open", "no picture"),
        (b"GIF89a" + bytes(50), "GIF"),
        (b"%PDF-1.7" + bytes(50), "PDF"),
        (b"II*\x00" + bytes(50), "TIFF"),
        (b"\0\0\0\x18ftypmp42" + bytes(50), "video"),
        (b"RIFF\0\0\0\0WEBP" + bytes(50), "WebP"),
        (bomb(30_000, 30_000), "pixels"),
        (bomb(12_000, 12_000), "12000 × 12000"),
        (bomb(0, 10), "picture"),
        (as_file(flat(0.2, 4, 4), "PNG"), "4 × 4"),
        (JPEG[:2000], "breaks off"),
        (JPEG[: len(JPEG) // 2], "breaks off"),
        (JPEG[:3], "cannot be read"),
        (b"\xff\xd8\xff" + bytes(41_000_000), "MB"),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_refused_by_name_and_size(data, word):
    with pytest.raises(Refusal, match=word):
        receive(data)


def test_limits_can_be_lower():
    with pytest.raises(Refusal, match="pixels"):
        receive(JPEG, max_pixels=1000)
    with pytest.raises(Refusal, match="MB"):
        receive(JPEG, max_bytes=1000)


def taken_or_refused(data):
    try:
        got = receive(data)
    except Refusal:
        return
    assert got.kept_jpeg.startswith(b"\xff\xd8\xff")


HEADS = [b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"\0\0\0\x18ftypheic", b"\xff\xd8\xff\xe1\0\x20Exif\0\0"]


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(HEADS), st.binary(max_size=400))
def test_any_bytes_are_refused(head, tail):
    taken_or_refused(head + tail)


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from([0, 1]),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), min_size=1, max_size=12),
)
def test_damaged_photos_are_taken_or_refused(which, damage):
    data = bytearray(SMALL[which])
    for i, (place, value) in enumerate(damage):
        reach = 400 if i % 2 else len(data)  # half of it in the head, where the EXIF is
        data[int(place * (reach - 1))] = value
    taken_or_refused(bytes(data))


SMALL = [
    as_file(flat(0.2, 64, 48), "JPEG", exif_bytes(*SET, gps=True), icc_profile=display_p3_profile()),
    as_file(flat(0.2, 64, 48), "PNG", exif_bytes(*SET, gps=True), icc_profile=display_p3_profile()),
]


def test_a_broken_kept_photo_is_refused():
    for kept in (b"", b"\xff\xd8\xffjunk", as_file(flat(0.2), "PNG")):
        with pytest.raises(Refusal):
            spot_luminance(kept, Exposure(*SET), 0.5, 0.5)


def boxes_cut(data, share):
    return data[: int(len(data) * share)]


@pytest.mark.parametrize("share", [0.5, 0.9, 0.99])
def test_a_heic_cut_short_is_refused_and_one_with_something_behind_is_not(share):
    """A decoder fills missing tiles with grey, which would meter; boxes have lengths (ISO/IEC 14496-12, from memory)."""
    import pillow_heif

    pillow_heif.register_heif_opener()
    whole = as_file(flat(0.18), "HEIF", exif_bytes(*SET), quality=95)
    with pytest.raises(Refusal, match="breaks off"):
        receive(boxes_cut(whole, share))
    assert receive(whole + b"\0\0\0\3XYZW").width == 320


# Habits of makers with the tags of one exposure, the makers invented: f/2.8, 1/60 s, ISO 200 each time, EV 100 = log2(2.8²·60/2) = 7.88
HABITS = {
    "plain figures": {},
    "APEX alone": {"f_number": None, "time_s": None, "x9202": 2.9709, "x9201": 5.9069},  # Av = 2·log2 2.8, Tv = log2 60
    "f/0, the lens told nothing, but an APEX aperture": {"f_number": 0.0, "x9202": 2.9709},
    "ISO in a list": {"iso": None, "x8827": (200, 0)},
    "ISO full, the longer tag beside it": {"iso": 65535, "x8832": 200},
    "ISO only as the recommended index": {"iso": None, "x8832": 200},
    "ISO only as the standard output sensitivity": {"iso": None, "x8831": 200},
    "ISO only as the ISO speed": {"iso": None, "x8833": 200},
    "a correction set": {"x9204": -1.0},
    "a brightness of its own": {"x9203": 2.88},
}


@pytest.mark.parametrize("habit", HABITS)
def test_habits_of_makers(habit):
    said = {"f_number": 2.8, "time_s": 1 / 60, "iso": 200} | HABITS[habit]
    got = receive(as_file(flat(0.18), exif=exif_bytes(**said)))
    f_number, time_s, iso = got.exposure.settings()
    assert math.log2(f_number**2 / time_s * 100 / iso) == pytest.approx(math.log2(2.8**2 * 60 / 2), abs=0.02)


WARNED = {
    "f/0": ({"f_number": 0.0}, "f/0"),
    "night scene": ({"xa406": 3}, "night mode"),
    "longer than a hand": ({"time_s": 2.0}, "longer than a hand holds still"),
    "several in one": ({"xa460": 3}, "several exposures"),
    "digital zoom": ({"xa404": 2.0}, "zoomed 2.0 times"),
    "flash": ({"x9209": 1}, "flash fired"),
    "correction": ({"x9204": 1.0}, "+1.0 stop"),
    "processed": ({"xa401": 1}, "specially processed"),
    "brightness apart": ({"x9203": 9.0}, "brighter than its settings"),
    "no ISO": ({"iso": None}, "does not say its ISO"),
    "nothing": ({"f_number": None, "time_s": None, "iso": None}, "no exposure data"),
}


@pytest.mark.parametrize("case", WARNED)
def test_what_will_not_meter_well_is_said(case):
    tags, words = WARNED[case]
    assert any(words in w for w in receive(as_file(flat(0.18), exif=exif_bytes(**tags))).warnings)


@pytest.mark.parametrize(
    ("form", "size", "data", "asked"),
    [("PNG", (320, 240), False, True), ("JPEG", (1170, 2532), False, True), ("JPEG", (1000, 750), False, False), ("JPEG", (1170, 2532), True, False)],
)
def test_a_screen_is_asked_about_and_a_photo_is_not(form, size, data, asked):
    picture = Image.new("RGB", size, (118, 118, 118))
    more = {"exif": exif_bytes()} if data else {}
    assert receive(as_file(picture, form, **more)).maybe_screen is asked
