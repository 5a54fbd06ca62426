"""Where the misses came from and why a number is what it is: pages, JSON, and the links that lead there."""

import re

import pytest

from firstsheet.acts import expose, judge, wish
from firstsheet.drawing.miss_shares import miss_shares
from tests.web.conftest import client_of


@pytest.fixture
def judged(said, clock):
    """Six sheets of an invented afternoon, each judged dark, which on a positive asks more light."""
    codes = []
    for n, seen in enumerate(("too_dark", "a_little_dark", "too_dark", "a_little_dark", "too_dark", "too_dark")):
        wish.say(said, {"reading": f"EV {11 + n % 2}"})
        codes.append(expose.keep(said).code)
        expose.expose(said, codes[-1], {})
        clock.pass_s(1200)
        judge.judge(said, codes[-1], {"border": "black", "seen": seen, "kept": "no"})
    wish.say(said, {"reading": "EV 11"})
    return said, codes


def test_the_way_to_why_begins_beside_the_number_and_in_the_book(judged):
    book, codes = judged
    c = client_of(book)
    assert 'href="/why"' in c.get("/").text.split('class="answer"')[1].split("</p>")[0]
    known = c.get("/book/known").text
    assert 'href="/book/misses"' in known
    assert 'href="/why?box=D&amp;way=direct_positive"' in known
    assert f'href="/book/{codes[0]}/why"' in c.get(f"/book/{codes[0]}").text


def test_each_sheet_that_moved_the_seconds_is_signed_and_linked(judged):
    book, codes = judged
    c = client_of(book)
    told = c.get("/api/why").json()
    assert told["of"] == "plan"
    assert {m["sheet"] for m in told["moved"]} <= set(codes)
    last = next(m for m in told["moved"] if m["sheet"] == codes[-1])
    # On a positive too dark is too little light (common practice, no source): it asks for more time.
    assert last["stops"] > 0
    # Without it the plan is shorter by just those stops: t·2^−s, the definition of a stop.
    assert last["without_s"] * 2 ** last["stops"] == pytest.approx(told["wanted_s"])
    page = c.get("/why").text
    row = page.split(f'href="/book/{codes[-1]}"')[1].split("</li>")[0]
    assert re.search(r"\+\d\.\d stop", row)
    judge.take_back(book, codes[-1])
    assert codes[-1] not in c.get("/why").text
    assert all(m["sheet"] != codes[-1] for m in c.get("/api/why").json()["moved"])


def test_a_box_has_its_own_why(judged):
    book, codes = judged
    c = client_of(book)
    by_sheet, by_name = c.get(f"/api/sheets/{codes[0]}/why").json(), c.get("/api/why?box=D").json()
    assert by_sheet == by_name
    assert by_name["wanted_s"] is None
    most = by_name["moved"][0]["sheet"]
    assert most in codes
    assert f'href="/book/{most}"' in c.get(f"/book/{codes[0]}/why").text
    assert c.get("/api/why?box=nobody").status_code == 404
    assert c.get("/api/why?box=D&way=paper_negative").status_code == 422
    assert c.get("/book/ZZZZ/why").status_code == 404


def test_why_asks_for_what_a_plan_lacks(book):
    c = client_of(book)
    assert c.get("/why").status_code == 422
    assert {p["where"] for p in c.get("/api/why").json()["refused"]} >= {"reading", "light", "subject"}


def test_shares_of_misses_make_a_whole_and_each_lies_in_its_range(judged):
    book, _ = judged
    c = client_of(book)
    found = c.get("/api/misses").json()
    assert sum(m["share"] for m in found) == pytest.approx(1.0)
    assert all(0 <= m["low"] <= m["share"] <= m["high"] <= 1 for m in found if m["share"] >= 0.02)
    page = c.get("/book/misses").text
    for m in found[:3]:
        assert m["group"] in page
        assert m["helps"] in page.replace("&#39;", "'")


def test_without_sheets_misses_say_what_is_needed(said):
    assert "Two judged sheets" in client_of(said).get("/book/misses").text


def test_the_drawing_of_shares_is_to_scale():
    """Straight from 0 to 1: a bar of a half ends where “half” stands, lines at their own ends; nothing leaves the scale."""
    drawn = miss_shares([("a <b>", 0.5, 0.25, 1.0), ("c", 0.0, 0.0, 0.0)])
    left, right = 4.0, 346.0
    bars = [float(w) for w in re.findall(r'<rect x="4" y="[\d.]+" width="([\d.]+)"', drawn)]
    assert bars == pytest.approx([(right - left) / 2, 0.0])
    ends = [float(x) for pair in re.findall(r'd="M([\d.]+),[\d.]+ H([\d.]+)', drawn) for x in pair]
    assert ends[:2] == pytest.approx([left + (right - left) / 4, right])
    assert "a &lt;b&gt;" in drawn
    size = float(re.search(r'font-size="(\d+)"', drawn)[1])
    assert size * 350 / 360 >= 12  # as shown on a telephone 390 wide, margins off
