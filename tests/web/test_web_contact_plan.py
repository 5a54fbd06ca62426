"""Planning a print from the bench's page, by script or without."""

from __future__ import annotations

import html

from firstsheet.acts import own, wish

LAMP = {"name": "phone", "kind": "point", "height": "1 m", "times": "1 2 4 8 16 s", "black": "3"}
PRINT = {"facing": "together", "glass": "no", "back_print": "no", "range": "R 100"}


def test_a_print_becomes_the_plan_and_a_sheet(client, book):
    own.add_box(book, {"name": "E", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
    wish.say(book, {"box": "E"})
    client.post("/contact/lamp", data=LAMP)
    client.post("/contact/negative", data={"name": "boat", "clear": "0.60", "dense": "1.60"})
    assert "Plan this print" in client.get("/contact", params=PRINT).text
    page = client.post("/contact/plan", data=PRINT)
    assert page.status_code == 200
    words = html.unescape(page.text)
    assert "phone" in words
    assert "boat" in words
    assert "what does the meter say" not in words
    assert client.post("/expose", data={"number": "1"}).status_code == 200
    code = client.get("/api/sheets").json()[0]["code"]
    assert client.get(f"/book/{code}").status_code == 200
    beside = html.unescape(client.get(f"/book/{code}/expose").text)
    assert "Print of boat under phone, at its strip’s height, R 100, shadows first, emulsion to emulsion, no glass." in beside
    assert "away from the trays, dry hands" in beside  # where the lamp is lit
    assert "under clean glass" not in beside  # what was said holds, and nothing beside it says otherwise


def test_what_is_missing_is_said_beside_its_field(client, book):
    own.add_box(book, {"name": "E", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
    wish.say(book, {"box": "E"})
    client.post("/contact/lamp", data=LAMP)
    client.post("/contact/negative", data={"name": "boat", "clear": "0.60", "dense": "1.60"})
    page = client.post("/contact/plan", data={"range": "R 100"})
    assert page.status_code == 422
    assert "emulsion to emulsion" in page.text
