"""Before the box opens, on the pages: the list, a lamp tested, the dark tested, and what the run then says."""

from __future__ import annotations

from datetime import timedelta

import pytest
from fastapi.testclient import TestClient

from firstsheet.acts import expose, leaktest, own, readiness, wish
from firstsheet.book.store import Book
from firstsheet.refusal import Refusal
from tests.web.conftest import CAMERA, Clock, client_of

LAMP = {"lamp": "bench lamp", "distance": "1.2 m", "tested": "1 3 7 15 31 min", "before": "no", "after": "no"}
LEAK = {"lay": "40 min", "seen": "no"}


@pytest.fixture
def client(said: Book) -> TestClient:
    return client_of(said)


@pytest.fixture
def code(said: Book) -> str:
    return expose.keep(said).code


def bad(book: Book, code: str) -> list[str]:
    return [f.words for f in readiness.of_sheet(book, code).tests if not f.well]


@pytest.mark.parametrize("light", ["sun", "red", "dark"])
def test_every_page_answers_in_every_light(client: TestClient, code: str, light: str) -> None:
    client.cookies.set("light", light)
    for page in (f"/ready/{code}", "/lamptest", "/lamptest?exposure=60+s&lux=0.5", "/leaktest"):
        answer = client.get(page)
        assert answer.status_code == 200, page
        assert "<script" not in answer.text


def test_the_list_is_ticked_and_kept_with_the_sheet(client: TestClient, code: str, said: Book) -> None:
    assert f'href="/ready/{code}"' in client.get(f"/trays/{code}").text
    page = client.post(f"/ready/{code}", data={"told": "yes", "lens_capped": "yes"}).text
    assert page.count(" checked") == 2
    assert "Put them on now" in page  # gloves were not ticked
    found = readiness.of_sheet(said, code)
    assert found.wall is not None
    assert [i.key for i in found.items if i.so] == ["told", "lens_capped"]
    assert client.post(f"/ready/{code}").text.count(" checked") == 0  # the last word counts
    assert "before the box" in client.get(f"/book/{code}").text
    assert client.post(f"/api/sheets/{code}/ready", json={"so": "all but gloves"}).json()["left"] == 1


def test_a_lamp_tested_long_enough(client: TestClient, code: str, said: Book, clock: Clock) -> None:
    assert any("No lamp was tested" in w for w in bad(said, code))
    assert "safe for 15 min 30 s" in client.post("/lamptest", data=LAMP).text
    client.post("/leaktest", data=LEAK)
    assert bad(said, code) == []
    run = client.get(f"/trays/{code}").text
    assert "safe for 15 min 30 s" in run
    clock.pass_s(timedelta(days=200).total_seconds())
    assert sum("make it again" in w for w in bad(said, code)) == 2


def test_a_shorter_test_a_fogged_one_and_one_put_away(client: TestClient, code: str, said: Book) -> None:
    client.post("/lamptest", data=LAMP | {"tested": "1 3 7 min", "after": "7 min"})
    assert any("bench lamp at 1.2 m is safe for 90 s" in w for w in bad(said, code))
    assert "not safe" in client.post("/lamptest", data=LAMP | {"tested": "1 3 7 min", "before": "1 min"}).text
    assert any("keep it off" in w for w in bad(said, code))
    client.post("/lamptest", data={"lamp": "bench lamp", "do": "away"})
    assert any("No lamp was tested" in w for w in bad(said, code))


def test_a_test_holds_for_its_kind_of_paper(client: TestClient, code: str, said: Book) -> None:
    own.add_box(said, {"name": "N", "paper": "enlarging", "size": "12x16 in", "sheets": "10"})
    client.post("/lamptest", data=LAMP | {"box": "N"})
    client.post("/leaktest", data=LEAK | {"box": "N"})
    assert sum("another kind of paper only" in w for w in bad(said, code)) == 2


def test_a_leak_is_never_safe(client: TestClient, code: str, said: Book) -> None:
    assert "not safe" in client.post("/leaktest", data=LEAK | {"seen": "trays"}).text
    assert leaktest.tests(said)[0].safe_s == 0
    assert any("Scraps showed light in this room at: trays" in w for w in bad(said, code))


def test_colour_paper_has_no_lamp(client: TestClient, said: Book) -> None:
    own.add_box(said, {"name": "C", "paper": "ra4", "size": "12x16 in", "sheets": "10"})
    assert "there is no lamp for it" in client.get("/lamptest?box=C").text
    answer = client.post("/api/lamptest", json=LAMP | {"box": "C"})
    assert answer.status_code == 422
    assert "no lamp for it" in answer.text
    assert client.get("/api/leaktest/steps", params={"box": "C"}).json()["lay_s"] > 0
    own.add_developer(said, {"name": "first", "kind": "paper"})
    wish.say(said, {"box": "C", "developer": "first", "way": "reversal_ra4"})
    found = readiness.of_sheet(said, expose.keep(said).code)
    assert (found.light, found.red_s) == ("none", 0)


def test_a_contact_print_is_asked_for_its_glass(empty: Book) -> None:
    own.add_camera(empty, CAMERA)
    own.add_box(empty, {"name": "E", "paper": "enlarging", "size": "12x16 in", "sheets": "10"})
    own.add_developer(empty, {"name": "dev", "kind": "paper"})
    wish.say(empty, {"way": "contact_print", "reading": "4 lx on the board", "negative": "0.9", "light": "tungsten"})
    code = expose.keep(empty).code
    keys = [i.key for i in readiness.of_sheet(empty, code).items]
    assert "glass" in keys
    assert "board" not in keys
    assert client_of(empty).get(f"/ready/{code}").status_code == 200


def test_everything_wrong_is_told_at_once(client: TestClient, code: str, said: Book) -> None:
    answer = client.post("/api/lamptest", json={"kind": "phone", "tested": "7 3 min", "before": "no"})
    assert [p["where"] for p in answer.json()["refused"]] == ["lamp", "distance", "brightness", "tested", "after"]
    page = client.post("/lamptest", data=LAMP | {"after": "2 min"})
    assert page.status_code == 422
    assert "60 s, 3 min, 7 min" in page.text
    assert client.post("/leaktest", data={"lay": "soon"}).status_code == 422
    assert client.post(f"/ready/{code}", data={"shoes": "yes"}).status_code == 422
    said.add_marks(
        said.get_sheet(code)["id"],
        [{"client_id": "b1", "kind": "begun", "elapsed_s": 0.0, "wall": said.now(), "body": {}}],
    )
    with pytest.raises(Refusal, match="not begun"):
        readiness.say(said, code, {"so": "all"})
