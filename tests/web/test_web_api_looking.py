"""Looking at paper as JSON: the acts' own answers, a strip to its curve and back, a version wanted, a bad day, a notebook."""

import json

import numpy as np
import pytest

from firstsheet.acts import bad_day, calibrate, strip_track
from firstsheet.answer import to_json
from tests.foresee import sheets as drawn
from tests.strips.synth import picture
from tests.web.conftest import client_of

DENSITIES = "0.09 0.10 0.11 0.14 0.18 0.26 0.39 0.57 0.80 1.05 1.29 1.47 1.60"
EXPOSURES = "first 0.1 lx·s, steps of √2"


def same(answer, thing):
    assert answer.json() == json.loads(json.dumps(to_json(thing)))


def test_how_a_strip_is_made_and_told(client, said):
    query = {"way": "lamp", "steps": "5", "first": "2 s", "factor": "2"}
    same(client.get("/api/strips/make", params=query), calibrate.instructions(said, query))
    same(client.get("/api/strips/track", params=query), strip_track.of_making(said, query))
    code = client.post("/api/sheets", json={"strip": True}).json()["code"]
    same(client.get("/api/strips/track", params={"sheet": code}), strip_track.of_sheet(said, code))
    assert client.get("/api/strips/track", params={"sheet": code, "first": "2 s"}).status_code == 422
    assert client.get("/api/strips/make", params={"steps": "1", "way": "moon"}).status_code == 422


def test_a_strip_read_its_curve_counted_and_withdrawn(client):
    data = picture(np.random.default_rng(5), "clean", 800, steps=9)[0]
    read = client.post(
        "/api/strips", files={"picture": ("s.jpg", data, "image/jpeg")}, data={"steps": "9", "sense": "negative"}
    )
    assert read.status_code == 201
    number = read.json()["strip"]
    assert client.get(f"/api/strips/{number}").json() == read.json()
    assert [s["strip"] for s in client.get("/api/strips").json()] == [number]
    assert len(client.post(f"/api/strips/{number}", json={"steps": "7"}).json()["patches"]) == 7
    form = {
        "densities": DENSITIES,
        "exposures": EXPOSURES,
        "light": "open_shade",
        "way": "direct_positive",
        "teach": False,
    }
    form["densities"] = " ".join(reversed(DENSITIES.split()))
    before = client.get("/api/plan").json()["wanted_s"]
    made = client.post("/api/curves", json=form)
    assert made.status_code == 201, made.text
    curve = made.json()
    assert not curve["taught"]
    assert client.get("/api/plan").json()["wanted_s"] == before
    assert curve["teaches"], curve["why_not"]
    counted = client.post(f"/api/curves/{curve['curve']}/count")
    assert counted.json().get("taught"), counted.text
    assert client.get("/api/plan").json()["wanted_s"] != before
    gone = client.post(f"/api/curves/{counted.json()['curve']}/withdraw").json()
    assert not gone["taught"]
    assert client.get("/api/plan").json()["wanted_s"] == pytest.approx(before)
    assert client.get(f"/api/curves/{gone['curve']}").json()["name"] == curve["name"]
    assert client.post("/api/curves", json=form | {"teach": "no"}).status_code == 422
    for path in ("/api/strips/99", "/api/curves/99", "/api/strips/x"):
        assert client.get(path).status_code == 404
    assert client.post("/api/strips").status_code == 422


def test_the_version_wanted_judges_the_sheet(client):
    code = client.post("/api/sheets", json={}).json()["code"]
    client.post(f"/api/sheets/{code}/expose", json={})
    white, border = (f"{x},{y}" for x, y in (drawn.WHITE_AT, drawn.BORDER_AT))
    photo = drawn.photo(drawn.Print(-1).density())
    places = {"white": white, "border": border}
    found = client.post(f"/api/sheets/{code}/versions", files={"photo": ("s.jpg", photo, "image/jpeg")}, data=places)
    assert found.status_code == 201, found.text
    assert len(found.json()["versions"]) == 5
    at = f"/api/sheets/{code}/versions/{found.json()['picture']}"
    assert client.post(at, json=places).status_code == 422
    # On a direct positive lighter is more light (common practice, no source).
    change = client.post(at, json=places | {"version": "lighter", "wet": False})
    assert change.status_code == 200, change.text
    assert change.json()["taught"]
    assert client.get(f"/api/sheets/{code}").json()["judgement"]["need_stops"] > 0


def test_a_bad_day(client, said):
    query = {"saw": "all_black", "way": "direct_positive"}
    same(client.get("/api/badday", params=query), bad_day.bad_day(said, None, query))
    code = client.post("/api/sheets", json={}).json()["code"]
    same(
        client.get(f"/api/sheets/{code}/badday", params={"saw": "streaks"}),
        bad_day.bad_day(said, code, {"saw": "streaks"}),
    )
    assert client.get("/api/badday").status_code == 422
    assert client.get("/api/sheets/ZZZZ/badday", params={"saw": "streaks"}).status_code == 404


def test_a_notebook(client):
    table = b"day;distance (m);EV;light;f;seconds;border;result\n2026-04-03;3;EV 11;sun;16;4;black;too dark\n"

    def send(**fields):
        return client.post("/api/notebooks", files={"notebook": ("k.csv", table, "text/csv")}, data=fields)

    assert send().json()["ready"]
    assert client.get("/api/known").json()["sheets"] == 0
    assert send(mapping="[1]").status_code == 422
    assert send(mapping="{").status_code == 422
    done = send(keep="yes", defaults=json.dumps({"zone": "UTC"}))
    assert done.status_code == 201
    assert (done.json()["count"], done.json()["number"]) == (1, 1)
    assert client.post("/api/notebooks/1/take-back").json()["stands"] is False
    assert [n["stands"] for n in client.get("/api/notebooks").json()] == [False]
    assert client.get("/api/known").json()["sheets"] == 0


def test_the_card(client):
    assert client.post("/api/strips/card", json={"black": "1.85"}).json()["typed"] == {"card_black": "1.85"}
    assert client.get("/api/strips/card").json()["black"] == 1.85
    assert client.post("/api/strips/card", json={"black": "1.2"}).status_code == 422


def test_nothing_of_it_from_the_network_without_the_cookie(said):
    c = client_of(
        said, client=("192.168.1.9", 4000), base="http://192.168.1.5", lan_code="x" * 16, allowed_hosts={"192.168.1.5"}
    )
    for path in ("/api/strips", "/api/badday?saw=streaks", "/api/notebooks"):
        assert c.get(path).status_code == 403
