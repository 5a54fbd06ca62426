"""The day's page: the place once, the sun in the lens first, the drawing, JSON; and the question before a sheet in the sun's hours."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from xml.etree import ElementTree

from firstsheet.acts import day_place, wish
from tests.web.conftest import client_of

PLACE = {"place": "52 N 0 E", "zone": "CET", "faces": "S"}


def test_the_place_is_typed_once_and_the_day_stands_there(said):
    c = client_of(said)
    assert 'href="/day"' in c.get("/").text
    page = c.get("/day").text
    assert "stays in this book" in page
    assert "<svg" not in page.split("<main")[1]
    page = c.post("/day/place", data=PLACE).text
    assert "Never look into the lens: the sun can enter it" in page  # in May the sun is up before it is due east
    assert page.index("Never look") < page.index("3 May 2026") < page.index("day-plot")
    assert "Most light" in page
    drawing = re.search(r'<svg[^>]*class="day-plot".*?</svg>', page, re.DOTALL)
    assert drawing
    ElementTree.fromstring(drawing[0])
    assert "sun in the lens: " in drawing[0]
    assert c.post("/day/place", data={"do": "forget"}).status_code == 200
    assert not day_place.known(said)


def test_refusals_stand_beside_their_fields(said):
    c = client_of(said)
    wrong = c.post("/day/place", data=PLACE | {"place": "52 13", "around": "moat"})
    assert wrong.status_code == 422
    assert wrong.text.count('class="problem"') == 2
    assert 'value="moat"' in wrong.text
    assert not day_place.known(said)
    c.post("/day/place", data=PLACE)
    assert c.get("/day?date=yesterday").status_code == 422
    assert "place for the whole day" not in c.get("/day?sky=window").text


def test_an_emptied_field_is_taken_back(said):
    c = client_of(said)
    c.post("/day/place", data=PLACE | {"barrel": "80 mm"})
    assert day_place.stand(said).barrel_mm == 80
    c.post("/day/place", data=PLACE | {"barrel": ""})
    assert day_place.stand(said).barrel_mm is None


def test_as_json_and_as_a_drawing(said):
    c = client_of(said)
    assert c.get("/api/day").status_code == 404
    c.post("/day/place", data=PLACE)
    found = c.get("/api/day?date=2026-06-21&sky=hazy_sun").json()
    assert found["sky"] == "hazy_sun"
    assert len(found["course"]) == 288
    assert c.get("/day.svg?date=2026-06-21").headers["content-type"].startswith("image/svg+xml")


def test_in_the_hours_of_the_sun_a_sheet_is_asked_about_first(said, clock):
    """Early in June the sun stands north of east, before a lens that looks north."""
    day_place.say(said, PLACE)
    wish.say(said, {"aperture": "f/8"})
    clock.at = datetime(2026, 6, 21, 5, 0, tzinfo=UTC)
    c = client_of(said)
    page = c.get("/expose").text
    assert "the sun can enter it until 09:2" in page
    assert 'name="sun" value="seen"' in page
    refused = c.post("/expose", data={"number": "1", "strip": "0"})
    assert refused.status_code == 422
    assert "Not kept yet" in refused.text
    assert not said.sheets()
    assert c.post("/expose", data={"number": "1", "strip": "0", "sun": "seen"}).status_code == 200
    assert len(said.sheets()) == 1


def test_in_other_hours_and_without_a_place_it_asks_as_before(said, clock):
    c = client_of(said)
    assert "No sun can enter: go on" in c.get("/expose").text
    day_place.say(said, PLACE)
    clock.at = datetime(2026, 6, 21, 12, 0, tzinfo=UTC)
    assert 'name="sun"' not in c.get("/expose").text
    assert c.post("/expose", data={"number": "1", "strip": "0"}).status_code == 200
