"""The JSON: the acts' own answers, refusals by status, marks once."""

import json

import pytest

from firstsheet.acts.plan import plan
from firstsheet.answer import to_json
from tests.web.conftest import client_of, jpeg

RUN = [
    {"id": "a1", "kind": "begun", "step": "", "elapsed_s": 0, "wall_ms": 1777798800000},
    {"id": "a2", "kind": "lifted", "step": "developer", "elapsed_s": 390.5, "wall_ms": 1777799190500},
    {"id": "a3", "kind": "finished", "step": "", "elapsed_s": 900, "wall_ms": 1777799700000},
]


def test_the_plan_is_the_act_s_plan(client, said):
    assert client.get("/api/plan").json() == json.loads(json.dumps(to_json(plan(said))))


def test_a_query_is_heard_and_not_kept(client):
    before = client.get("/api/plan").json()["time_s"]
    # one stop less light asks for about twice the time (and a little reciprocity): the definition of a stop
    assert client.get("/api/plan", params={"reading": "EV 10"}).json()["wanted_s"] > 1.9 * before
    assert client.get("/api/plan").json()["time_s"] == before
    assert client.post("/api/plan", json={"reading": "EV 10"}).json()["wanted_s"] > 1.9 * before


def test_a_whole_life(client):
    assert client.post("/api/say", json={"subject": "3.2 m"}).status_code == 200
    made = client.post("/api/sheets", json={})
    assert made.status_code == 201
    code = made.json()["code"]
    at = f"/api/sheets/{code}"
    assert client.post(f"{at}/expose", json={"given": "2.5"}).json()["given_s"] == 2.5
    for _ in range(3):
        assert client.post(f"{at}/marks", json={"marks": RUN}).json()["kept"] == ["a1", "a2", "a3"]
    assert client.get(at).json()["state"] == "processed"
    assert [m["id"] for m in client.get(at).json()["marks"]][1:] == ["a1", "a2", "a3"]
    before = client.get("/api/plan").json()["wanted_s"]
    change = client.post(f"{at}/judge", json={"border": "black", "seen": "too_dark"}).json()
    assert change["taught"]
    # a direct positive that is too dark had too little light: the next one gets more
    assert client.get("/api/plan").json()["wanted_s"] > before
    assert client.get("/api/known").json()["sheets"] == 1
    assert client.post(f"{at}/take-back").json()["judgement"] is None
    assert client.get("/api/plan").json()["wanted_s"] == before
    assert [s["code"] for s in client.get("/api/sheets").json()] == [code]
    assert client.get("/api/sheets", params={"before": 1}).json() == []


def test_a_strip(client):
    made = client.post("/api/sheets", json={"strip": True}).json()
    assert made["strip"]
    assert client.post("/api/sheets", json={"strip": "yes"}).status_code == 422


def test_a_photo_and_its_spot(client):
    kept = client.post("/api/photos", files={"photo": ("a.jpg", jpeg(), "image/jpeg")})
    assert kept.status_code == 201
    spot = client.post(f"/api/photos/{kept.json()['picture']}/spot", json={"x": 0.5, "y": 0.5}).json()
    # ISO 12232: mid-tone at 10/S = 0.65·L·t/N², so L = 10·4·125/(0.65·100) = 76.9 cd/m²
    assert spot["luminance_cdm2"] == pytest.approx(76.9, rel=0.02)
    assert client.post("/api/photos", files={"photo": ("a.jpg", b"no picture", "image/jpeg")}).status_code == 422
    assert client.post("/api/photos").status_code == 422


def test_the_room(client):
    # thin lens: 1/600 − 1/3000 = 1/750
    assert client.get("/api/room").json()["board_mm"] == pytest.approx(750)
    assert client.get("/api/room", params={"subject": "0.5 m"}).status_code == 422


def test_refusals(client, empty):
    told = client.post("/api/say", json={"subject": "3 bananas", "light": "moonlight", "nonsense": "1"})
    assert told.status_code == 422
    assert {p["where"] for p in told.json()["refused"]} == {"subject", "light", "nonsense"}
    assert client.get("/api/sheets/AAAA").status_code == 404
    assert client.get("/api/sheets/%00%ff").status_code == 404
    assert client.post("/api/photos/99999999999999999999/spot", json={"x": 0, "y": 0}).status_code == 404
    assert client.get("/api/nowhere").status_code == 404
    assert client.get("/api/say").status_code == 405


@pytest.mark.parametrize(
    "body",
    [
        b"{",
        b"[1]",
        b'"x"',
        b'{"light": NaN}',
        b'{"sitter": "\\ud800"}',
        b"[" * 100_000,
        b"\xff\xfe",
        b'{"a":' + b"9" * 9000 + b"}",
    ],
)
def test_bodies_that_are_none(client, body):
    told = client.post("/api/say", content=body, headers={"Content-Type": "application/json"})
    assert told.status_code == 422
    assert told.json()["refused"]


def test_a_locked_book_says_so(client, monkeypatch):
    from firstsheet.refusal import Refusal

    def busy(*_):
        raise Refusal.one("book", "", "Another program is writing.", "Try again.", "busy")

    monkeypatch.setattr("firstsheet.acts.wish.say", busy)
    assert client.post("/api/say", json={}).status_code == 503


def test_what_nobody_foresaw_is_said_calmly(client, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError

    monkeypatch.setattr("firstsheet.acts.known.known", broken)
    told = client.get("/api/known")
    assert told.status_code == 500
    assert "Nothing that was kept is lost" in told.json()["refused"][0]["allowed"]
    assert "ZeroDivision" not in client.get("/book/known").text


def test_an_empty_book(empty):
    nothing = client_of(empty)
    assert nothing.get("/api/plan").status_code == 404  # named things are missing: a camera, a box, a developer
    assert nothing.get("/api/sheets").json() == []
    assert nothing.get("/api/known").json() == {"sheets": 0, "boxes": [], "effects": []}


def test_a_name_that_climbs_is_no_page_and_leads_to_none(client):
    got = client.post("/api/strips/..%2f", json={}, follow_redirects=False)
    assert got.status_code == 404
    assert got.json()["refused"][0]["allowed"] == "There is no such page."
