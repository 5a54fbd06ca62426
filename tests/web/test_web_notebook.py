"""A notebook on the page: sent, named, tried, said, brought in whole or not at all, taken back. Invented rows."""

import re

import pytest

from firstsheet.acts import own
from tests.web.conftest import CAMERA, client_of

HEAD = "day;clock;box;distance (m);EV;light;f;seconds;border;result;kept;mood"
ROWS = (
    "2026-04-03;14:00;A;3;EV 11;sun;16;4;white;too dark;no;sunny",
    "2026-04-04;11:00;A;3,2;EV 10,5;overcast;16;3;white;bit dark;no;grim",
    "2026-04-05;11:00;A;3,2;EV 10,5;overcast;16;3;white;bit dark;no;grim",
)


@pytest.fixture
def bench(empty):
    own.add_camera(empty, CAMERA | {"f_number": "f/8"})
    own.add_box(empty, {"name": "A", "paper": "enlarging", "size": "12x16 in", "sheets": "10", "ei": "4"})
    own.add_developer(empty, {"name": "tray one", "kind": "paper"})
    own.add_meter(empty, {"name": "my meter", "kind": "hand"})
    return empty


def send(c, *rows, head=HEAD):
    return c.post(
        "/notebook",
        files={"notebook": ("kept.csv", "\n".join((head, *rows)).encode(), "text/csv")},
        follow_redirects=False,
    )


def test_from_the_file_to_the_book_and_back(bench):
    c = client_of(bench)
    assert 'href="/notebook"' in c.get("/book").text
    at = send(c, *ROWS).headers["location"]
    page = c.get(at).text
    assert "3 rows: what are the columns?" in page
    assert "headed “distance (m)”" in page or "has the word in it" in page
    # one column is named by hand: touch it, touch what it is
    mood = re.search(rf'href="({at}/column/11)"', page)[1]
    assert "none of these" in c.get(mood).text
    assert "a remark" in c.post(mood, data={"pick": "remark"}).text
    # every problem row is told, with a way to say what was meant
    tried = c.get(f"{at}/check").text
    assert "1 thing is not understood" in tried
    assert "In 2 rows." in tried
    assert "Rows 3, 4" in tried
    assert tried.count("“bit dark”") >= 1
    assert c.post(f"{at}/keep").text.count("not understood") >= 1
    assert bench.sheets(9) == []
    fix = re.search(r'href="([^"]+word=bit\+dark)"', tried)[1]
    assert "What does “bit dark” mean?" in c.get(fix).text
    ready = c.post(fix, data={"pick": "a_little_dark"}).text
    assert "3 rows can come in" in ready
    assert bench.sheets(9) == []
    done = c.post(f"{at}/keep").text
    assert "3 sheets brought in, 3 of them teach." in done
    assert len(bench.sheets(9)) == 3
    assert bench.sheets(9)[-1]["body"]["notebook"]["cells"]["mood"] == "sunny"
    assert c.get(at).status_code == 404
    # none of them waits at the trays or the bench
    assert "No exposed sheet waits" in c.get("/trays").text
    assert "No sheet waits" in c.get("/bench").text
    taught = c.get("/api/known").json()["sheets"]
    assert taught == 3
    assert "taken back" in c.post("/notebook/back/1").text
    assert c.get("/api/known").json()["sheets"] == 0
    assert c.post("/notebook/back/1").status_code == 422


def test_what_no_row_says_is_said_once_for_all(bench):
    c = client_of(bench)
    head, row = "day;distance (m);EV;f;seconds;result", "3/4/2026;3;EV 11;16;4;too dark"
    at = send(c, row, head=head).headers["location"]
    tried = c.get(f"{at}/check").text
    for words in ("two ways", "Say it for all: masked border"):
        assert words in tried
    c.post(f"{at}/say/date_order", data={"pick": "dmy"})
    c.post(f"{at}/say/border", data={"pick": "white"})
    assert "Say it for all: kind of light" in c.get(f"{at}/check").text
    c.post(f"{at}/say/light", data={"pick": "sun"})
    page = c.post(f"{at}/say/zone", data={"value": "Europe/London"}).text
    assert "Europe/London" in page
    assert "1 row can come in" in c.get(f"{at}/check").text
    assert "Europe/London" not in c.post(f"{at}/say/zone", data={"pick": "-"}).text
    assert "the third of April" in c.get(at).text


def test_two_columns_are_never_the_same_thing(bench):
    c = client_of(bench)
    at = send(c, *ROWS).headers["location"]
    page = c.post(f"{at}/column/11", data={"pick": "box"}).text
    assert page.count('<span class="u">the box of paper</span>') == 1
    assert "not read" in c.post(f"{at}/column/11", data={"pick": "-"}).text


@pytest.mark.parametrize(
    "data", [b"", b"\x00\x01", b"one\n", b"a,a\n1,2\n", b"a,b\n" + b"1,2\n" * 5001, b"x" * 2_100_000, b"x" * 3_000_000]
)
def test_what_is_no_notebook_is_refused(bench, data):
    c = client_of(bench)
    got = c.post("/notebook", files={"notebook": ("kept.csv", data, "text/csv")})
    assert got.status_code in (413, 422)
    assert 'class="problem"' in got.text
    assert bench.sheets(9) == []


def test_a_stranger_token_and_more_than_four_drafts(bench):
    c = client_of(bench)
    for path in (
        "/notebook/0123456789ab",
        "/notebook/0123456789ab/check",
        "/notebook/x/column/1",
        "/notebook/x/say/box",
    ):
        assert c.get(path).status_code == 404
    first = send(c, *ROWS).headers["location"]
    assert c.get(f"{first}/column/99").status_code == 404
    assert c.get(f"{first}/say/nothing").status_code == 404
    for _ in range(4):
        last = send(c, *ROWS).headers["location"]
    assert c.get(first).status_code == 404
    assert c.get(last).status_code == 200
    c.post(f"{last}/drop")
    assert c.get(last).status_code == 404


def test_names_in_cells_are_shown_as_text(bench):
    c = client_of(bench)
    at = send(c, "2026-04-03;<b>x</b>;A;3;EV 11;sun;16;4;white;<i>dark</i>;no;m").headers["location"]
    for page in (c.get(at).text, c.get(f"{at}/check").text):
        assert "<b>x" not in page
        assert "<i>dark" not in page


def test_in_red_light_no_window_of_the_telephone_opens(bench):
    c = client_of(bench)
    at = send(c, *ROWS).headers["location"]
    c.cookies.set("light", "red")
    for path in ("/notebook", at, f"{at}/column/0", f"{at}/say/border", f"{at}/check"):
        page = c.get(path).text
        assert "<select" not in page
        assert 'type="file"' not in page


def test_rows_are_left_out_by_a_touch_and_words_stand_for_keys(bench):
    c = client_of(bench)
    lacking = ";;A;3;;sun;16;4;;bit dark;no;calm"
    at = send(c, ROWS[0], ROWS[1], lacking.replace(";;A", "2026-04-06;;A", 1)).headers["location"]
    tried = c.get(f"{at}/check").text
    assert "black all over" in tried
    assert "black_all_over" not in tried
    assert "untaught = yes" not in tried
    assert "Keep such rows" in tried
    assert "Leave this row out" in tried
    once = c.post(f"{at}/leave", data={"rows": "3"}).text
    twice = c.post(f"{at}/leave", data={"rows": "4"}).text
    assert "Leave this row out" in once
    assert "1 row can come in" in twice
    assert "Rows 3, 4 left out" in twice
    assert "3 4" in c.get(at).text  # said among what holds for all, and taken back there
    c.post(f"{at}/say/leave_out", data={"pick": "-"})
    assert "not understood" in c.get(f"{at}/check").text
