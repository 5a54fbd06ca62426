"""Whatever is sent, the answer is an answer: no route may fail with 500."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.web.conftest import client_of, jpeg

BUDGET = settings(max_examples=120, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
FIELDS = [
    "light", "subject", "head", "aperture", "filter", "negative", "sitter", "reading", "how", "tone", "camera", "box", "developer",
    "meter", "way", "name", "focal", "f_number", "board_min", "board_max", "length", "width", "height", "stops", "speeds", "coverage",
    "circle", "pupil", "shutter", "paper", "size", "sheets", "cost", "ei", "ei_sd", "iso_p", "opened", "base", "kind", "given", "remark",
    "border", "seen", "step", "wet", "kept", "faults", "note", "x", "y", "time", "iso", "own", "pick", "number", "strip", "spot.x",
    "spot.y", "by", "across", "down", "code", "do", "confusion", "board", "marks",
    "minute", "more", "white", "greys", "black", "readings", "forget", "value", "word", "saw", "factor", "first", "lux", "steps", "count", "sheet",
    "densities", "exposures", "teach", "version", "of", "corners", "face", "preflash", "shows", "depths", "lux_at", "part",
]  # fmt: skip
WORDS = [
    "3 m", "EV 11", "EV 99", "1e308", "-1", "0", "nan", "f/8", "f/0", "0.0001 lx", "open shade", "12 lx on the board", "EV 11; EV 13 on face_light",
    "12x16 in", "1/125 s", "black", "too_dark", "yes", "any", "paper_negative", "contact_print", "direct_positive", "D", "boathouse",
    "\x00", "\ud800", "𝔘", "🙂", "<b>", "' OR 1=1", "9" * 60, "½", "5 ft 6 in", "10000 m", "20 mm", "4.20 EUR", "2026-05-03", "1" * 12,
]  # fmt: skip
text = st.one_of(st.sampled_from(WORDS), st.text(max_size=40))
form = st.dictionaries(st.sampled_from(FIELDS), text, max_size=5)
anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | text,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from([*FIELDS, "id", "kind", "step", "elapsed_s", "wall_ms"]), inner, max_size=4),
    max_leaves=8,
)  # fmt: skip
body = st.dictionaries(st.sampled_from([*FIELDS, "strip", "marks"]), anything, max_size=5)
GETS = ["/", "/expose", "/board", "/trays", "/bench", "/book", "/book/known", "/own", "/light", "/link", "/in", "/api/plan", "/api/room",
        "/api/sheets", "/say/{x}", "/book/{x}", "/bench/{x}", "/trays/{x}", "/photos/{x}", "/readings/{x}", "/pictures/{x}", "/own/{x}",
        "/api/sheets/{x}", "/book/{x}/expose", "/bench/{x}/change", "/static/{x}", "/why", "/book/{x}/why", "/book/misses", "/worth", "/strips",
        "/strips/card", "/strips/track.wav", "/book/{x}/strip.wav", "/book/{x}/sheet.wav", "/notebook/{x}", "/notebook/{x}/check",
        "/notebook/{x}/column/{x}", "/notebook/{x}/say/{x}", "/badday", "/badday/{x}", "/api/why", "/api/misses", "/api/worth", "/api/badday",
        "/api/sheets/{x}/why", "/api/sheets/{x}/badday", "/api/strips/make", "/api/strips/track", "/api/strips/{x}", "/api/curves/{x}", "/day", "/day.svg", "/api/day", "/reflector", "/api/reflector", "/scrapmeter", "/api/scrapmeter", "/contact", "/contact/{x}", "/contact/photo", "/contact/photo/{x}", "/contact/positive", "/contact/positive.jpg", "/api/contact/positive", "/api/contact", "/api/counting", "/api/scrapmeter/read", "/ahead", "/focus", "/colour", "/api/colour", "/pack", "/api/pack", "/api/pack/ring", "/range", "/api/range", "/meters", "/api/meters", "/compose/{x}", "/ahead/{x}", "/ahead/{x}/sheet.jpg",
        "/ahead/{x}/five.jpg", "/bench/{x}/foretold", "/bench/{x}/foretold/{x}", "/bench/{x}/foretold/{x}/beside.jpg"]  # fmt: skip
POSTS = ["/expose", "/board", "/link", "/in", "/say/{x}", "/own/{x}", "/bench/{x}", "/book/{x}/expose", "/book/{x}/take-back",
         "/photos/{x}", "/readings/{x}", "/photos", "/worth", "/strips/card", "/notebook", "/notebook/{x}/say/{x}", "/notebook/{x}/column/{x}",
         "/notebook/{x}/keep", "/notebook/back/{x}", "/day/place", "/scrapmeter/tint", "/scrapmeter/plan", "/contact/lamp", "/contact/negative", "/contact/counting", "/contact/photo", "/contact/photo/{x}", "/focus", "/compose/{x}", "/range/keep", "/range/leave-out", "/meters/take-back", "/meters", "/ahead", "/ahead/{x}", "/bench/{x}/foretold", "/bench/{x}/foretold/{x}"]  # fmt: skip
API = ["/api/say", "/api/plan", "/api/sheets", "/api/sheets/{x}/expose", "/api/sheets/{x}/marks", "/api/sheets/{x}/judge",
       "/api/sheets/{x}/take-back", "/api/photos/{x}/spot", "/api/photos", "/api/worth", "/api/strips/card", "/api/strips/{x}", "/api/strips",
       "/api/curves", "/api/curves/{x}/count", "/api/curves/{x}/withdraw", "/api/sheets/{x}/versions", "/api/sheets/{x}/versions/{x}",
       "/api/notebooks", "/api/notebooks/{x}/take-back", "/api/photos/{x}/board", "/api/photos/{x}/ahead", "/api/sheets/{x}/foretold"]  # fmt: skip


@pytest.fixture
def place(said):
    """A client on a book with one exposed sheet, a photo and a reading; its names for the {x} in an address."""
    c = client_of(said)
    code = c.post("/api/sheets", json={}).json()["code"]
    c.post(f"/api/sheets/{code}/expose", json={})
    c.post("/api/photos", files={"photo": ("a.jpg", jpeg(), "image/jpeg")})
    return c, [
        code,
        "1",
        "2",
        "light",
        "reading",
        "subject",
        "box",
        "camera",
        "ZZZZ",
        "99999999999",
        "-1",
        "%00",
        "%ff",
        "..%2f",
        "🙂",
    ]


def test_no_page_fails(place):
    c, names = place

    @BUDGET
    @given(st.sampled_from(GETS), st.sampled_from(names), form)
    def ask(path, x, query):
        query = {k: v.encode("utf-8", "replace").decode() for k, v in query.items()}
        assert c.get(path.replace("{x}", x), params=query).status_code < 500

    ask()


def test_no_form_fails(place):
    c, names = place

    @BUDGET
    @given(st.sampled_from(POSTS), st.sampled_from(names), form)
    def send(path, x, fields):
        fields = {k: v.encode("utf-8", "replace").decode() for k, v in fields.items()}
        assert c.post(path.replace("{x}", x), data=fields).status_code < 500
        assert c.get("/").status_code == 200

    send()


def test_no_json_fails(place):
    import json

    c, names = place

    @BUDGET
    @given(st.sampled_from(API), st.sampled_from(names), body | anything)
    def send(path, x, sent):
        got = c.post(
            path.replace("{x}", x), content=json.dumps(sent).encode(), headers={"Content-Type": "application/json"}
        )
        assert got.status_code < 500
        got.json()
        assert c.get("/").status_code == 200
        assert c.get("/api/plan").status_code < 500

    send()


def test_no_bytes_fail(place):
    c, names = place

    @settings(BUDGET, max_examples=60)
    @given(st.sampled_from([*POSTS, *API]), st.sampled_from(names), st.binary(max_size=200),
           st.sampled_from(["application/json", "multipart/form-data", "multipart/form-data; boundary=x", "application/x-www-form-urlencoded", "\xff", ""]))  # fmt: skip
    def send(path, x, sent, kind):
        got = c.post(path.replace("{x}", x), content=sent, headers={"Content-Type": kind.encode("latin-1")})
        assert got.status_code < 500

    send()
