"""What a minute is worth and how many more sheets: the page, what the plan's page then says, and JSON."""

import pytest

from firstsheet.acts import expose, judge, own, wish, worth
from tests.web.conftest import client_of


def test_said_on_the_page_and_counted_beside_the_plan(said):
    c = client_of(said)
    assert 'href="/worth"' in c.get("/").text
    assert "A strip now: ±" in c.get("/").text
    assert c.post("/worth", data={"minute": "0.50 EUR"}).status_code == 200
    page = c.post("/worth", data={"box": "D", "more": "12"}).text
    assert "0.50 EUR" in page
    assert "serves those after it" in page  # a strip now serves none but this one, where it is the last
    assert "12 more to come" in page
    plan = c.get("/").text
    assert "A minute is counted as 0.50 EUR." in plan
    assert "12 more sheets from box D" in plan
    page = c.post("/worth", data={"minute": "none"}).text
    assert "a minute costs nothing" in page
    assert "nobody said" in c.post("/worth", data={"box": "D", "more": "none"}).text
    assert "is counted as" not in c.get("/").text


def test_a_refusal_stands_beside_its_field_and_changes_nothing(said):
    c = client_of(said)
    c.post("/worth", data={"minute": "0.50 EUR"})
    wrong = c.post("/worth", data={"minute": "a fortune"})
    assert wrong.status_code == 422
    assert "“a fortune”" in wrong.text
    assert c.post("/worth", data={"box": "D", "more": "many"}).status_code == 422
    assert c.post("/worth", data={}).status_code == 422
    assert worth.worth(said).minute == 0.5


def test_as_json(said):
    c = client_of(said)
    assert c.post("/api/worth", json={"minute": "0.50 EUR", "more": "12"}).json()["boxes"][0]["share"] == pytest.approx(
        11 / 12
    )
    assert c.get("/api/worth").json()["minute"] == 0.5
    assert c.post("/api/worth", json={"minute": "x"}).json()["refused"][0]["where"] == "minute"


def test_two_things_changed_since_the_last_judged_sheet_of_the_box_are_said_on_the_page(said):
    own.add_developer(said, {"name": "tray two", "kind": "paper"})
    wish.say(said, {"developer": "coffee", "light": "open_shade"})
    code = expose.keep(said).code
    expose.expose(said, code, {})
    judge.judge(said, code, {"border": "black", "seen": "as_wanted"})
    c = client_of(said)
    wish.say(said, {"developer": "tray two"})
    assert "one at a time teaches more" not in c.get("/").text
    wish.say(said, {"light": "overcast"})
    assert (
        f"Since the last judged sheet of box D, {code}, the developer and the kind of light changed" in c.get("/").text
    )
