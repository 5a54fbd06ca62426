"""A negative by its photo over the web: sent, touched, kept, and its positive. The photo is synthetic."""

from __future__ import annotations

import html
import re

import pytest

from tests.printing.backlight import photo, wedge

TOUCHES = [(10, 200), (175, 15), (340, 200), (175, 257), (10, 10), (35, 136), (70, 41), (280, 41), (280, 231), (70, 231)]  # of 350 × 272, as shown


def text(answer):
    return html.unescape(answer.text)


@pytest.fixture
def touched(client, book):
    """The address at which every place has been touched."""
    sent = client.post("/contact/photo", files={"photo": ("a.jpg", photo(wedge((0.5, 1.0, 1.5))), "image/jpeg")}, follow_redirects=False)
    assert sent.status_code == 303
    at = sent.headers["location"]
    for x, y in TOUCHES:
        page, _, query = at.partition("?")
        assert 'type="image"' in client.get(at).text
        carried = dict(part.split("=") for part in query.split("&") if part)
        fields = {k: v.replace("+", " ") for k, v in carried.items()} | {"spot.x": str(x), "spot.y": str(y)}
        moved = client.post(page, data=fields, follow_redirects=False)
        assert moved.status_code == 303
        at = moved.headers["location"]
    return at


def test_from_a_photo_to_a_negative_and_its_positive(client, book, touched):
    assert 'href="/contact/photo"' in text(client.get("/contact/negative"))
    page = text(client.get(touched))
    assert "a range of 1.0" in page
    assert "Touch the densest instead" in page
    where, _, query = touched.partition("?")
    carried = {k: v.replace("+", " ") for k, v in (part.split("=") for part in query.split("&"))}
    unnamed = client.post(where, data=carried | {"do": "keep"})
    assert unnamed.status_code == 422
    assert "A name, or its sheet's code" in text(unnamed)
    kept = client.post(where, data=carried | {"do": "keep", "name": "boat", "side": "emulsion", "state": "dry"}, follow_redirects=False)
    assert kept.headers["location"] == "/contact"
    bench = text(client.get("/contact"))
    assert "boat, dry" in bench
    assert 'href="/contact/positive"' in bench
    positive = text(client.get("/contact/positive?range=R 110&stops=1"))
    assert "dead black" in positive
    assert "/contact/positive.jpg?" in positive
    drawn = client.get("/contact/positive.jpg?range=R 110")
    assert drawn.headers["content-type"] == "image/jpeg"
    told = client.get("/api/contact/positive?range=R 110").json()
    assert told["mirrored"] is True
    assert client.get("/contact/positive?range=R 9000").status_code == 422


def test_with_its_size_the_grain_of_the_base_is_told(client, touched):
    assert "Say the sheet's size" in text(client.get(touched))
    sized = text(client.get(touched + "&size=8x10 in"))
    assert "own grain: even places scatter by" in sized
    assert 'name="size" value="8x10 in"' in sized  # carried on into what is kept
    wrong = client.get(touched + "&size=large")
    assert wrong.status_code == 422
    assert re.search(r'<input[^>]*name="size"[^>]*value="large"', wrong.text)


@pytest.mark.parametrize("light", ["red", "dark"])
def test_red_and_dark_show_no_white_picture(client, book, touched, light):
    where, _, query = touched.partition("?")
    carried = {k: v.replace("+", " ") for k, v in (part.split("=") for part in query.split("&"))}
    client.post(where, data=carried | {"do": "keep", "name": "boat"})
    client.cookies.set("light", light)
    page = text(client.get("/contact/positive?range=R 110"))
    assert light == "dark" or "dead black" in page
    assert "positive.jpg" not in page
    assert client.get("/contact/positive.jpg?range=R 110").status_code == 422
    assert 'type="image"' not in client.get(where).text
    assert 'type="file"' not in client.get("/contact/photo").text


def test_places_that_are_not_there_may_be_passed_over(client, book):
    at = client.post("/contact/photo", files={"photo": ("a.jpg", photo(wedge((0.5, 1.5))), "image/jpeg")}, follow_redirects=False).headers["location"]
    assert "No more bare light" not in text(client.get(at))
    page = client.post(at, data={"bare": "0.05,0.5", "do": "none"}, follow_redirects=True)
    assert "Nothing opaque lies there" in text(page)
    assert client.post(at, data={}).status_code == 422
    assert client.post("/contact/photo", data={}).status_code == 422
    assert client.get("/contact/photo/99").status_code == 404
    assert "No negative is kept from a photo" in text(client.get("/contact/positive"))


def test_a_photo_of_the_bare_light_spares_touches(client, book):
    at = client.post("/contact/photo", files={"photo": ("a.jpg", photo(wedge((0.5, 1.5))), "image/jpeg")}, follow_redirects=False).headers["location"]
    assert "bare light alone" not in text(client.get(at))
    assert "bare light alone" in text(client.get(f"{at}?bare=0.05,0.5"))
    sent = client.post(at, data={"bare": "0.05,0.5"}, files={"photo": ("b.jpg", photo(None, seed=2), "image/jpeg")}, follow_redirects=False)
    onward = sent.headers["location"]
    assert "Touch the coin" in text(client.get(onward))
    told = text(client.get(f"{onward}&opaque=0.1,0.5&corners=0.2,0.15 0.8,0.15 0.8,0.85 0.2,0.85"))
    assert "a range of 1.0" in told
    assert "hardly told" not in told
    broken = client.post(at, data={"bare": "0.05,0.5"}, files={"photo": ("b.txt", b"no picture", "image/jpeg")})
    assert broken.status_code == 422
    assert client.get(f"{at}?bare=0.05,0.5&enough=yes&bare_photo=99&opaque=none&corners=0.2,0.15 0.8,0.15 0.8,0.85 0.2,0.85").status_code == 404
