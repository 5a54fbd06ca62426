"""The page of several sheets: asked, begun, marked, refused; its sound."""

from __future__ import annotations

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


def test_begun_and_marked_in_the_book(client):
    begun = client.post("/several/begin", data=ASKED | {"id": "e"}, follow_redirects=False)
    assert begun.status_code == 303
    place = begun.headers["location"]
    assert client.post("/several/begin", data=ASKED | {"id": "e"}, follow_redirects=False).headers["location"] == place
    for _ in range(2):  # a wet finger twice, or a page sent again after the power was away
        marked = client.post(f"{place}/mark", data={"begin": "1 compose", "id": "a"}, follow_redirects=False)
        assert marked.headers["location"] == place
    page = client.get(place)
    assert page.text.count("Begun already") == 1
    assert "Take back: sheet 1, compose" in page.text
    assert f'href="{place}"' in client.get("/several").text
    client.post(f"{place}/back", data={"id": "a"})
    assert "Begun already" not in client.get(place).text
    assert client.get(f"{place}/track.wav").content[:4] == b"RIFF"


def test_a_mark_out_of_turn_is_refused_in_words(client):
    place = client.post("/several/begin", data=ASKED, follow_redirects=False).headers["location"]
    got = client.post(f"{place}/mark", data={"begin": "1 fix"})
    assert got.status_code == 422
    assert "Next for sheet 1: compose" in got.text
    assert client.get("/several/999").status_code == 404


def test_refused_beside_its_field_and_all_at_once(client):
    got = client.get("/several", params={"sheets": "40 paper_negative", "compose": "9 h", "places": "wash 77"})
    assert got.status_code == 422
    for words in ("From 1 to 12 sheets", "“40”", "From 0 s to 1800 s", "“wash 77”"):
        assert words in got.text


def test_the_sound(client):
    got = client.get("/several/track.wav", params={"sheets": "2 paper_negative"})
    assert got.headers["content-type"] == "audio/wav"
    assert got.content[:4] == b"RIFF"
