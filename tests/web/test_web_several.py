"""The page of several sheets: asked, begun, marked, refused; its sound."""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

import pytest

ASKED = {"sheets": "2 paper_negative; reversal_ra4"}


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_it_answers_in_every_light(client, light):
    client.cookies.set("light", light)
    got = client.get("/several", params=ASKED)
    assert got.status_code == 200
    if light == "dark":
        assert "an hour" not in got.text
        return
    assert got.text.index("white light first") < got.text.index("an hour")
    assert "toward the sun" in got.text
    assert "What hands do" in got.text


def test_begun_and_marked_in_the_address_alone(client):
    begun = client.post("/several/begin", data=ASKED, follow_redirects=False)
    assert begun.status_code == 303
    fields = {k: v[0] for k, v in parse_qs(urlsplit(begun.headers["location"]).query).items()}
    assert "begun" in fields
    marked = client.post("/several/mark", data=fields | {"begin": "1 compose"}, follow_redirects=False)
    fields = {k: v[0] for k, v in parse_qs(urlsplit(marked.headers["location"]).query).items()}
    assert fields["done"].startswith("1 compose 0:0")
    assert "Begun already" in client.get(marked.headers["location"]).text


def test_refused_beside_its_field_and_all_at_once(client):
    got = client.get("/several", params={"sheets": "40 paper_negative", "compose": "9 h", "places": "wash 77"})
    assert got.status_code == 422
    for words in ("From 1 to 12 sheets", "“40”", "From 0 s to 1800 s", "“wash 77”"):
        assert words in got.text


def test_the_sound(client):
    got = client.get("/several/track.wav", params={"sheets": "2 paper_negative"})
    assert got.headers["content-type"] == "audio/wav"
    assert got.content[:4] == b"RIFF"
