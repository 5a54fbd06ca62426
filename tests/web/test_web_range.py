"""The photo's named places and the range over the web: what is shown, what is refused, and the same as JSON."""

from __future__ import annotations

import html

import pytest

from tests.acts.test_acts_range import scene
from tests.light.pictures import as_file, flat


def text(answer):
    return html.unescape(answer.text)


def touched(client, tone, name, across):
    number = str(client.photo)
    return client.post(f"/photos/{number}", data={"by": "place", "tone": tone, "name": name, "across": across, "down": "15"})


def test_from_touches_to_a_range_kept_with_a_sheet(client):
    client.photo = str(client.post("/photos", files={"photo": ("a.jpg", scene(), "image/jpeg")}).url).rsplit("/", 1)[1]
    assert "Touch a face" in text(client.get("/range"))
    touched(client, "face_light", "face", "50")
    touched(client, "other", "shirt", "15")
    assert "leaves the exposure alone" in text(touched(client, "other", "dark hair", "85"))
    nameless = touched(client, "other", "", "85")
    assert nameless.status_code == 422
    assert "Name it" in text(nameless)
    found = client.get("/api/range").json()
    assert [t["name"] for t in found["tones"]] == ["dark hair", "face", "shirt"]
    assert 5.9 < found["range_stops"] < 6.1  # drawn 0.72 over 0.18/16: 2^6
    client.post("/expose", data={"number": "1"})
    code = client.get("/api/sheets").json()[0]["code"]
    kept = text(client.post("/range/keep", data={"code": code}))
    assert f"Kept with sheet {code}" in kept
    life = text(client.get(f"/book/{code}"))
    assert "The scene’s range kept" in life
    assert all(words in life for words in [found["says"], *(t["words"] for t in found["tones"])])
    assert client.post("/range/leave-out", data={"name": "hat"}).status_code == 404
    assert client.post("/range/keep", data={"code": "NONE"}).status_code == 404


def test_a_comparison_is_taken_back_where_it_was_made(client):
    client.photo = str(client.post("/photos", files={"photo": ("a.jpg", scene(), "image/jpeg")}).url).rsplit("/", 1)[1]
    at = str(touched(client, "face_light", "face", "50").url)
    assert "It is remembered" in text(client.post(at, data={"own": "EV 11 on face_light"}))
    page = text(client.get(at))
    name = page.split('name="name" value="')[1].split('"')[0]
    back = client.post("/meters/take-back", data={"name": name, "reading": at.rsplit("/", 1)[1]})
    assert str(back.url) == at
    assert "Take it back" not in text(back)
    assert client.post("/meters/take-back", data={"name": name}).status_code == 404


def test_two_meters_are_held_against_each_other_and_it_is_taken_back(client):
    for name in ("old meter", "new meter"):
        client.post("/own/meter", data={"name": name, "kind": "hand"})
    assert "Nothing was compared yet" in text(client.get("/meters"))
    wrong = client.post("/meters", data={"readings": "old meter: EV 11"})
    assert wrong.status_code == 422
    assert "with a colon" in text(wrong)
    done = client.post("/meters", data={"readings": "old meter: EV 11.5; new meter: EV 11"})
    assert "Old meter with new meter: the first reads 0.5 stop higher" in text(done)
    assert client.get("/api/meters").json()["comparisons"][0]["reads_high_stops"] == pytest.approx(0.5)
    back = client.post("/meters/take-back", data={"name": "old meter with new meter", "then": "meters"})
    assert "taken back" in text(back)
    assert "Take it back" not in text(back)


def test_a_screenshot_is_asked_about_on_its_page(client):
    got = client.post("/photos", files={"photo": ("a.png", as_file(flat(0.18), "PNG"), "image/png")})
    assert "Is this a photo of the scene?" in text(got)
    said = {"by": "place", "tone": "grey_card", "across": "50", "down": "50", "f_number": "f/2", "time": "1/125 s", "iso": "100"}
    refused = client.post(str(got.url), data=said)
    assert refused.status_code == 422
    assert "cd/m²" in text(client.post(str(got.url), data=said | {"really": "yes"}))
