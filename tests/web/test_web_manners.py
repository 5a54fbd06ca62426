"""Small manners of the server: HEAD as GET without its body, a cancelled upload without a story, a list of sheets in one question."""

import asyncio
import logging

import pytest

from firstsheet.acts import expose, wish
from firstsheet.book.store import Book
from firstsheet.web.app import create_app
from tests.web.conftest import client_of

PAGES = [
    "/",
    "/board",
    "/trays",
    "/bench",
    "/book",
    "/book/known",
    "/strips",
    "/strips/card",
    "/own",
    "/api/plan",
    "/api/sheets",
    "/strips/track.wav",
]


@pytest.mark.parametrize("path", PAGES)
def test_head_is_get_without_its_body(said, path):
    c = client_of(said)
    got, head = c.get(path), c.head(path)
    assert head.status_code == got.status_code == 200
    assert head.content == b""
    assert head.headers["content-type"] == got.headers["content-type"]
    assert head.headers["content-length"] == got.headers["content-length"]  # RFC 9110, 9.3.2: what GET would have sent


def test_head_of_nothing_and_of_a_form(said):
    c = client_of(said)
    assert c.head("/nowhere").status_code == 404
    assert c.head("/worth").status_code == 200
    assert c.head("/book/ZZZZ").content == b""


def cancelled(app, path, kind, begun):
    """A body of which a part comes before the line is cut."""
    sent = [{"type": "http.request", "body": begun, "more_body": True}, {"type": "http.disconnect"}]
    answers = []

    async def receive():
        return sent.pop(0) if len(sent) > 1 else sent[0]

    async def send(message):
        answers.append(message)

    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http", "path": path, "raw_path": path.encode(),
        "query_string": b"", "client": ("127.0.0.1", 5), "server": ("localhost", 80), "state": {},
        "headers": [(b"host", b"localhost"), (b"origin", b"http://localhost"), (b"content-type", kind.encode()), (b"content-length", b"900000")],
    }  # fmt: skip
    asyncio.run(app(scope, receive, send))
    return answers


@pytest.mark.parametrize(
    ("path", "kind"),
    [("/photos", "multipart/form-data; boundary=b"), ("/api/photos", "multipart/form-data; boundary=b"), ("/notebook", "multipart/form-data; boundary=b"),
     ("/api/say", "application/json"), ("/say/light", "application/x-www-form-urlencoded")],
)  # fmt: skip
def test_a_cancelled_upload_tells_no_story(said, caplog, path, kind):
    begun = (
        b'--b\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\nContent-Type: image/jpeg\r\n\r\nxxxx'
    )
    with caplog.at_level(logging.INFO):
        cancelled(create_app(said), path, kind, begun if "multipart" in kind else b"{")
    assert not caplog.records
    assert said.sheets(9) == []


def test_a_list_of_sheets_asks_for_marks_once(said, monkeypatch):
    for _ in range(5):
        expose.expose(said, expose.keep(said).code, {})
    asked = []
    one, many = Book.marks, Book.marks_of
    monkeypatch.setattr(Book, "marks", lambda self, n: (asked.append(n), one(self, n))[1])
    monkeypatch.setattr(Book, "marks_of", lambda self, ns: (asked.append(ns), many(self, ns))[1])
    assert client_of(said).get("/book").text.count('class="code"') == 5
    assert len(asked) == 1


@pytest.mark.parametrize("said_light", ["EV 16.5", "EV 17.9", "300000 lx", "400000 lx on the board"])
def test_too_much_light_is_refused_where_it_was_typed(said, said_light):
    c = client_of(said)
    wrong = c.post("/say/reading", data={"reading": said_light})
    assert wrong.status_code == 422
    assert f"“{said_light}”" in wrong.text.split('id="value"')[1].split("</div>")[1]
    told = c.get("/api/plan", params={"reading": said_light}).json()["refused"]
    assert [p["where"] for p in told] == ["reading"]
    assert told[0]["asked"] == said_light


def test_a_plan_of_hours_says_that_nobody_knows(said):
    wish.say(said, {"reading": "EV -4"})
    page = client_of(said).get("/").text
    assert "far beyond what is known" in page
    wish.say(said, {"reading": "EV 11"})
    assert "far beyond what is known" not in client_of(said).get("/").text
