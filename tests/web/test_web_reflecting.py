"""The board and the scrap over the web: what a person fills in, what is refused, the same as JSON."""

from __future__ import annotations

import html

import pytest


def text(answer):
    return html.unescape(answer.text)


def test_a_board_is_told_drawn_and_linked_from_outside(client, book):
    page = text(client.get("/reflector?sun=40°&kind=silver&want=1.5"))
    assert "Nobody looks into the board" in page
    assert "<svg" in page
    assert "away, no farther" in page
    assert 'href="/reflector"' in text(client.get("/"))
    assert client.get("/api/reflector?sun=40°").json()["kind"] == "white"


@pytest.mark.parametrize(("query", "words"), [("kind=gold", "gold"), ("sun=high", "high"), ("sun=40°&distance=1 mm", "0.2 to 50")])
def test_what_is_not_understood_is_said(client, query, words):
    answer = client.get(f"/reflector?{query}")
    assert answer.status_code == 422
    assert words in text(answer)


def test_from_a_tint_to_the_plan(client, book):
    assert "No tint is set yet" in text(client.get("/scrapmeter"))
    assert client.get("/scrapmeter?seconds=40 s").status_code == 404
    wrong = client.post("/scrapmeter/tint", data={"seconds": "soon"})
    assert wrong.status_code == 422
    client.post("/scrapmeter/tint", data={"seconds": "20 s", "reading": "60000 lx", "light": "sun"})
    page = text(client.get("/scrapmeter?seconds=40 s"))
    assert "1.0 stop less light" in page
    client.post("/scrapmeter/plan", data={"seconds": "40 s"})
    assert "scrap of" in text(client.get("/"))
    assert client.get("/api/scrapmeter/read?seconds=40 s").json()["change_stops"] == pytest.approx(-1.0)
