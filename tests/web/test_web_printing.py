"""The contact print over the web: lamp, negative, seconds; what is refused; the same as JSON."""

from __future__ import annotations

import html

import pytest

from firstsheet.acts import own, wish

LAMP = {"name": "phone", "kind": "point", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"}
ASK = "/contact?facing=together&glass=no&back_print=no&range=R 100&sheet=12x16 in"


@pytest.fixture(autouse=True)
def paper(book):
    """A paper that prints; the direct positive of the other page tests cannot."""
    own.add_box(book, {"name": "E", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
    wish.say(book, {"box": "E"})


def text(answer):
    return html.unescape(answer.text)


def test_from_a_strip_to_the_seconds(client, book):
    assert 'href="/contact"' in text(client.get("/bench"))
    assert "No lamp is known yet" in text(client.get("/contact"))
    assert client.post("/contact/lamp", data=LAMP, follow_redirects=False).status_code == 303
    client.post("/contact/negative", data={"name": "boat", "bare": "1600 lx", "clear": "400 lx", "dense": "40 lx"})
    client.post("/contact/counting", data={"took": "9.5 s; 9.6 s"})
    page = text(client.get(ASK))
    # By hand: √(2·4) = 2.83 s on bare paper are 2.57 s without what long times lose (1/p 1.10); four times that through a quarter of the
    # light, 10.3 s, lose again: 10.3^1.10 = 13.0 s.
    assert "13 s at 1.0 m" in page
    assert "<svg" in page
    assert "right way round" in page
    assert "Your second lasts" in page
    told = client.get(ASK.replace("/contact", "/api/contact")).json()
    assert told["time_s"] == pytest.approx(13.0, abs=0.02)


@pytest.mark.parametrize(("what", "data", "words"), [
    ("lamp", LAMP | {"black": "5"}, "as black after it"),
    ("negative", {"name": "boat", "clear": "0.2 looked at", "dense": "1.4 looked at"}, "more than once"),
    ("counting", {"took": "2 s"}, "from 5 to 20 s"),
])  # fmt: skip
def test_what_cannot_be_is_said_beside_its_field(client, book, what, data, words):
    answer = client.post(f"/contact/{what}", data=data)
    assert answer.status_code == 422
    assert words in text(answer)


def test_what_spoils_a_print_is_asked_before(client, book):
    client.post("/contact/lamp", data=LAMP)
    client.post("/contact/negative", data={"name": "boat", "clear": "0.6", "dense": "1.6"})
    answer = client.get("/contact?range=R 100")
    assert answer.status_code == 422
    assert text(answer).count("Look before the lamp is lit") == 3
    assert client.get("/contact/other").status_code == 404
