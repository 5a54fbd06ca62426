"""A sheet led by ear, in a browser: marks by a held touch or a key, nothing by a drop, all of it in the book, and red when it comes back."""

import time

import pytest

from firstsheet.acts import expose, own, run, wish
from firstsheet.acts.sheet import sheet
from firstsheet.book.store import Book
from tests.browser.web_harness import DESK, PHONE, Served, follow, highest

pytestmark = pytest.mark.browser
CAMERA = {"name": "boathouse", "focal": "600 mm", "f_number": "f/8", "stops": "f/11 f/16", "board_min": "620 mm", "board_max": "1100 mm",
          "length": "2.4 m", "width": "2 m", "height": "2.1 m"}  # fmt: skip


@pytest.fixture
def served(tmp_path):
    where = tmp_path / "book.sqlite"
    with Book.open(where) as book:
        own.add_camera(book, CAMERA)
        own.add_box(book, {"name": "D", "paper": "enlarging", "size": "12x16 in", "sheets": "25"})
        own.add_developer(book, {"name": "tray one", "kind": "paper"})
        own.add_meter(book, {"name": "my meter", "kind": "hand"})
        wish.say(book, {"light": "open_shade", "subject": "3 m", "reading": "EV 8"})
        code = expose.keep(book).code
    running = Served(where).start()
    running.code = code
    running.path = f"/book/{code}/expose"
    yield running
    running.kill()


def opened(browser, served, light="sun", viewport=PHONE):
    context = browser.new_context(viewport=viewport)
    context.add_cookies([{"name": "light", "value": light, "url": served.url}])
    page = context.new_page()
    page.wrong = []
    page.on("pageerror", lambda e: page.wrong.append(str(e)))
    page.on("console", lambda m: page.wrong.append(m.text) if m.type == "error" else None)
    # the sound in our hand: one script holds the only Audio there is that sheets are told by
    page.add_init_script("const A = Audio; window.sounds = []; window.Audio = function () { const a = new A(); window.sounds.push(a); return a; };")
    page.goto(served.url + served.path)
    page.wait_for_selector("html[data-ready=yes]")
    return page


def begin(page):
    page.locator("[data-track]").click()
    page.wait_for_selector(".covered")


def at(page, moment):
    """The sound stands at this moment [s]."""
    page.evaluate("(s) => { window.sounds[0].currentTime = s; }", moment)
    page.wait_for_timeout(120)


def hold(page, ms):
    page.mouse.move(200, 400)
    page.mouse.down()
    page.wait_for_timeout(ms)
    page.mouse.up()


def key(page, name, ms):
    page.keyboard.down(name)
    page.wait_for_timeout(ms)
    page.keyboard.up(name)


def until(page, script):
    """Until this is so on the page, ten seconds at most; its own rules allow no script from strings."""
    for _ in range(100):
        if page.evaluate(script):
            return
        time.sleep(0.1)
    raise AssertionError(script)


def moments(page):
    return page.evaluate("JSON.parse(document.getElementById('sound-data').textContent)")


def kinds(served, wanted):
    """The marks in the book once there are so many."""
    found = []
    for _ in range(100):
        with Book.open(served.book) as book:
            found = [(m["kind"], m["body"].get("step", ""), m["elapsed_s"]) for m in sheet(book, served.code).marks]
        if len(found) >= wanted:
            break
        time.sleep(0.1)
    return found


def test_a_foot_and_a_held_touch_mark_a_drop_does_not(browser, served):
    page = opened(browser, served)
    data = moments(page)
    by = {m["kind"] + m["step"]: m for m in data["moments"]}
    begin(page)
    assert highest(page) == [0, 0, 0]
    hold(page, 800)  # nothing is to be marked yet
    at(page, by["opened"]["at_s"] - 0.3)
    for _ in range(4):
        hold(page, 60)  # drops
    key(page, "PageDown", 750)  # a foot switch
    at(page, by["capped"]["at_s"])
    hold(page, 4600)  # a drop that lies there
    at(page, by["capped"]["at_s"] + 0.5)
    key(page, "Enter", 750)
    assert [k for k, _, _ in kinds(served, 3)] == ["opened", "capped", "exposed"]
    at(page, by["lifteddeveloper"]["at_s"] + 1.0)
    hold(page, 800)
    found = kinds(served, 5)
    assert [(k, s) for k, s, _ in found[3:]] == [("begun", ""), ("lifted", "developer")]
    with Book.open(served.book) as book:
        developer = run.process_of(book, served.code).steps[0].seconds
    assert found[4][2] == pytest.approx(developer + 1.0, abs=0.8)
    assert highest(page) == [0, 0, 0]
    hold(page, 6400)
    page.wait_for_selector(".covered", state="detached")
    assert highest(page)[1:] == [0, 0]
    assert page.inner_text("[data-marked]") == "Marked: lens opened, lens shut, lifted: developer."
    assert not page.wrong


def test_the_rest_went_as_told_and_the_sheet_can_be_judged(browser, served):
    page = opened(browser, served)
    data = moments(page)
    begin(page)
    at(page, data["total_s"] - 0.6)
    until(page, "window.sounds[0].ended")
    hold(page, 800)  # it is over: a hold brings the page back
    page.wait_for_selector(".covered", state="detached")
    rest = page.locator("[data-rest]")
    rest.scroll_into_view_if_needed()
    box = rest.bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 10)
    page.mouse.down()
    page.mouse.up()
    page.wait_for_timeout(200)
    assert page.inner_text("[data-marked]") == "Nothing is marked yet."  # a touch is no hold
    page.mouse.down()
    page.wait_for_timeout(700)
    page.mouse.up()
    assert kinds(served, len(data["moments"]) + 2)[-1][0] == "finished"  # and begun, and exposed
    until(page, "document.querySelector('[data-kept]').textContent === 'All in the book.'")
    with Book.open(served.book) as book:
        found = sheet(book, served.code)
        assert found.state == "processed"
        assert found.given_s == found.plan["time_s"]
        assert run.standing(book, served.code, 1e5).state == "finished"
    follow(page, page.get_by_text("Judge this sheet"))
    assert page.url == f"{served.url}/bench/{served.code}"
    assert not page.wrong


def test_lost_while_it_ran_it_goes_on_where_it_is(browser, served):
    page = opened(browser, served)
    begin(page)
    page.wait_for_timeout(1500)
    page.reload()
    page.wait_for_selector("html[data-ready=yes]")
    assert page.inner_text("[data-track]") == "Go on with the sound where it is"
    page.wait_for_timeout(1500)
    begin(page)
    page.wait_for_timeout(300)
    assert page.evaluate("window.sounds[0].currentTime") > 3.0
    assert not page.wrong


def test_marks_wait_for_a_book_that_is_away(browser, served):
    page = opened(browser, served)
    by = {m["kind"]: m for m in moments(page)["moments"]}
    begin(page)
    served.kill()
    at(page, by["opened"]["at_s"])
    hold(page, 800)
    page.keyboard.press("Escape")
    until(page, "document.querySelector('[data-kept]').textContent === '1 to be sent to the book.'")  # told when it is on the disk
    served.start()
    page.evaluate("dispatchEvent(new Event('online'))")
    assert [k for k, _, _ in kinds(served, 1)] == ["opened"]


def test_a_player_s_key_marks_with_the_screen_off_and_stops_nothing(browser, served):
    page = opened(browser, served)
    page.evaluate("window.keys = {}; navigator.mediaSession.setActionHandler = (k, f) => { window.keys[k] = f; }")
    by = {m["kind"]: m for m in moments(page)["moments"]}
    begin(page)
    at(page, by["opened"]["at_s"])
    page.evaluate("window.keys.pause()")
    page.evaluate("window.keys.play()")  # once more: it is marked already
    assert [k for k, _, _ in kinds(served, 1)] == ["opened"]
    assert not page.evaluate("window.sounds[0].paused")
    assert highest(page) == [0, 0, 0]


def test_it_is_begun_and_stopped_by_keys_too(browser, served):
    page = opened(browser, served)
    page.locator("[data-track]").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(".covered")
    page.keyboard.press("Escape")
    page.keyboard.press("Enter")
    assert page.inner_text("[data-told]").startswith("Stopped")
    assert page.evaluate("window.sounds[0].paused")


def test_the_volume_is_tried_before_it_begins(browser, served):
    page = opened(browser, served)
    page.locator("[data-volume]").click()
    until(page, "document.querySelector('[data-heard]').textContent.startsWith('Did you hear')")
    assert page.evaluate("!window.sounds[1].paused")
    assert "sitter" in page.inner_text("[data-heard]")
    assert not page.wrong


@pytest.mark.parametrize("light", ["sun", "red"])
@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
def test_the_page_for_machines_and_for_wet_hands(browser, served, light, viewport):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    page = opened(browser, served, light, viewport)
    follow(page, page.get_by_text("Only the exposure by ear"))
    assert "The exposure by ear" in page.content()
    page.go_back()
    page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    found = axe.run(page).response["violations"]
    assert not found, [(v["id"], v["nodes"][0]["html"][:200]) for v in found]
    assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]
    for name in ("[data-volume]", "[data-track]"):
        assert page.locator(name).bounding_box()["height"] >= 44
    if light == "red":
        assert highest(page)[1:] == [0, 0]
