"""The pages of small scraps: asked, refused beside the field, told, counted and taken back."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firstsheet.acts import calibrate_curve, plan, scraps_developers
from firstsheet.book.store import Book
from tests.acts_scraps.backlit import picture
from tests.acts_scraps.conftest import curve_form, dim, furnish
from tests.acts_scraps.strips_photo import COLOURS, PLACES, photo
from tests.web.conftest import client_of


@pytest.fixture
def paper(tmp_path, clock):
    with Book.open(tmp_path / "book.sqlite", now=clock) as book:
        furnish(book)
        dim(book)
        calibrate_curve.curve(book, None, curve_form(), teach=False)
        yield book


@pytest.fixture
def web(paper):
    return client_of(paper)


def test_long_exposures_on_their_pages(web, paper):
    assert "/scraps" in web.get("/bench").text
    assert "Keep the sun out of the lens" in web.get("/scraps/reciprocity").text
    wrong = web.post("/scraps/reciprocity", data={"given": "1 s at f/8", "densities": "x"})
    assert wrong.status_code == 422
    assert wrong.text.count('class="problem"') >= 2
    assert "1 s at f/8" in wrong.text  # what was typed stays
    before = plan.plan(paper).wanted_s
    told = web.post("/scraps/reciprocity", data={"given": "1 s at f/8, 64 s at f/64", "densities": "0.85 0.35"})
    assert told.status_code == 200
    assert "Let it count in plans" in told.text
    assert plan.plan(paper).wanted_s == before
    counted = web.post(told.url.path)
    assert "Take it back" in counted.text
    assert plan.plan(paper).wanted_s > before
    assert "measured on scraps of box D" in web.get("/").text
    back = web.post(counted.url.path, data={"do": "take_back"})
    assert "Let it count" in back.text
    assert "If it counted" not in back.text
    assert plan.plan(paper).wanted_s == pytest.approx(before, rel=1e-6)
    assert "; taken back" in web.get("/scraps?box=D").text


def test_two_developers_and_their_stain(web, paper):
    assert "One curve is kept so far" in web.get("/scraps/developers").text
    calibrate_curve.curve(paper, None, curve_form("brew", base=0.14, rise=1.6, k=3.6, m=0.62), teach=False)
    asked = web.get("/scraps/developers").text
    assert "Coffee developer looks like a drink" in asked
    (second, first) = (n for n, _ in scraps_developers.offered(paper))
    wrong = web.post("/scraps/developers", data={"first": str(first), "second": str(first)})
    assert wrong.status_code == 422
    assert "Two developers." in wrong.text
    told = web.post("/scraps/developers", data={"first": str(first), "second": str(second)})
    assert "slower in brew" in told.text
    assert "<svg" in told.text
    at = told.url.path
    assert web.post(f"{at}/photo").status_code == 422
    page = web.post(f"{at}/photo", data={"taken": "photo"}, files={"photo": ("a.jpg", photo(COLOURS), "image/jpeg")})
    assert "Touch the white" in page.text
    for i, (x, y) in enumerate(PLACES[k] for k in ("white", "first_base", "second_base", "first_mid", "second_mid")):
        address = str(page.url.copy_with(query=None))
        carried = dict(page.url.params)
        # as a touch on the picture 350 px wide, or as hundredths written in
        spot = (
            {"spot.x": f"{x * 350:.0f}", "spot.y": f"{y * 350 * 600 / 900:.0f}"}
            if i % 2
            else {"by": "place", "across": f"{100 * x:g}", "down": f"{100 * y:g}"}
        )
        page = web.post(address, data=carried | spot)
    assert "CIE L*a*b*, D50, 2° observer" in page.text
    assert "warm, towards yellow" in page.text
    assert "Their colours again" in page.text


def test_a_place_that_cannot_be_is_asked_again(web, paper):
    calibrate_curve.curve(paper, None, curve_form("brew", base=0.14, rise=1.6, k=3.6, m=0.62), teach=False)
    (second, first) = (n for n, _ in scraps_developers.offered(paper))
    at = web.post("/scraps/developers", data={"first": str(first), "second": str(second)}).url.path
    page = web.post(f"{at}/photo", files={"photo": ("a.jpg", photo(COLOURS), "image/jpeg")}).url.path
    assert web.post(page, data={"by": "place", "across": "300", "down": "x"}).status_code == 422
    dark = dict.fromkeys(("first_base", "second_base", "first_mid"), "0.2,0.25") | {"white": "0.2,0.75"}
    last = web.post(page, data=dark | {"by": "place", "across": "80", "down": "75"})
    assert last.status_code == 422
    assert "Touch the white" in last.text
    assert web.get("/scraps/999/photo").status_code == 404
    assert web.get(f"{at}/photo/999").status_code == 404


def test_fog_on_its_pages(web, paper):
    asked = web.get("/scraps/fog").text
    assert "rinse fifteen minutes" in asked
    assert web.post("/scraps/fog", data={}).status_code == 422
    told = web.post("/scraps/fog", data={"looks": "grey", "box": "D", "developer": "bought"})
    assert "The whites are grey" in told.text
    assert "Box D is fogged" in web.get("/").text
    assert "tests and dark pictures" in web.get("/scraps?box=D").text
    assert "/scraps?box=D" in web.get("/own").text
    web.post(told.url.path, data={"do": "take_back"})
    assert "Box D is fogged" not in web.get("/").text
    ask = web.get("/scraps/fog/photo", params={"box": "D", "developer": "bought", "looks": ""})
    assert "A photo of both pieces" in ask.text
    assert web.post("/scraps/fog/photo").status_code == 422
    page = web.post(
        "/scraps/fog/photo",
        data={"box": "D", "developer": "bought"},
        files={"photo": ("a.jpg", photo(COLOURS), "image/jpeg")},
    )
    for x, y in (PLACES["white"], PLACES["first_base"], PLACES["first_mid"]):
        address, carried = str(page.url.copy_with(query=None)), dict(page.url.params)
        page = web.post(address, data=carried | {"by": "place", "across": f"{100 * x:g}", "down": f"{100 * y:g}"})
    assert "a photo beside a white" in page.text
    assert "fogged through" in page.text
    assert web.get("/scraps/fog/photo/999").status_code == 404


def test_looked_at_and_shone_through(web, paper):
    asked = web.get("/scraps/readings").text
    assert "A lamp and wet hands do not meet" in asked
    wrong = web.post("/scraps/readings", data={"reflection": "0 0.9", "bare": "bright"})
    assert wrong.status_code == 422
    told = web.post(
        "/scraps/readings",
        data={
            "reflection": "0.06 1.02 1.46 1.96",
            "transmission": "0.58 1.05 1.33 1.63",
            "box": "D",
            "developer": "bought",
        },
    )
    assert "to print through" in told.text
    assert "<svg" in told.text
    at = told.url.path
    assert "0.47" in web.get(at, params={"of": "0.96"}).text
    assert "1.05 with its base" in web.get(at, params={"of": "1.02", "from_white": "yes"}).text
    beyond = web.get(at, params={"of": "2.5"})
    assert beyond.status_code == 422
    assert "from 0.00 to 1.90" in beyond.text
    back = web.post(at, data={"do": "take_back"})
    assert "Taken back: it stays in the book" in back.text


def test_a_strip_read_from_behind_on_its_page(web, paper):
    """Its own form says transmission from the start, and its curve is kept apart from the one looked at."""
    shone = picture([0.55 + t for t in (0.0, 0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 0.95)], 0.55, 1.0)
    page = web.post(
        "/strips",
        data={"steps": "8", "sense": "negative", "lit": "behind"},
        files={"picture": ("a.jpg", shone, "image/jpeg")},
    )
    assert "lit from behind" in page.text
    assert 'name="kind" value="transmission" checked' in page.text
    form = {
        "exposures": "first 0.5 lx·s, steps of √2",
        "light": "tungsten",
        "box": "D",
        "developer": "bought",
        "way": "paper_negative",
    }
    drawn = web.post(f"{page.url.path}/curve", data=form | {"kind": "transmission"})
    assert "density by transmission" in drawn.text
    mixed = web.post(f"{page.url.path}/curve", data=form | {"kind": "reflection"})
    assert mixed.status_code == 422
    assert "never mixed" in mixed.text


def test_what_is_not_there_is_missing(web):
    assert web.get("/scraps/999").status_code == 404
    assert web.get("/scraps/x").status_code == 404
    assert web.post("/scraps/999").status_code == 404


TEXT = st.one_of(st.sampled_from(["1 s at f/8, 64 s at f/64", "0.8 0.6", "√2", "yes", "D", "brew", "-1", "nan", "9" * 30, "𝔘", "<b>", "1:1", "0.1,0.2"]), st.text(max_size=20))  # fmt: skip
FIELDS = ["given", "densities", "matched", "pace", "slope", "timed", "box", "developer", "fixed", "developed", "looks", "kind", "date", "first", "second",
          "reflection", "transmission", "of", "white", "do", "picture"]  # fmt: skip
PATHS = [
    "/scraps",
    "/scraps/reciprocity",
    "/scraps/developers",
    "/scraps/fog",
    "/scraps/readings",
    "/scraps/fog/photo",
    "/scraps/fog/photo/1",
    "/scraps/5/photo",
    "/scraps/5/photo/1",
    "/scraps/1",
    "/scraps/5",
    "/scraps/-1",
]


@settings(max_examples=80, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(PATHS), st.dictionaries(st.sampled_from(FIELDS), TEXT, max_size=5))
def test_no_form_fails(web, path, form):
    form = {k: v.encode("utf-8", "replace").decode() for k, v in form.items()}
    assert web.post(path, data=form).status_code < 500
    assert web.get(path, params=form).status_code < 500
