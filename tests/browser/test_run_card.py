"""The run card: one file opened from a disk, with no server at all. It runs, it remembers, it gives its marks back, it prints."""

import json

import pytest

from firstsheet.acts.runcard import RunCard
from firstsheet.trays.runpage import dark_track, run_page
from firstsheet.trays.soundtrack import render_wav
from firstsheet.web.runcardfile import MODULES, card_html, script_of
from tests.browser.run_harness import BLACK_AND_WHITE, COLOUR
from tests.browser.test_run_page import PHONE, black, chromium, dark_hold, hold, only_red, pass_time, run_all

pytestmark = pytest.mark.browser
assert chromium  # the fixture


def file_of(folder, process=BLACK_AND_WHITE):
    run = run_page(process, "K7QD", "Sheet 31, an invented one") | {"marks_url": "", "onward_url": ""}
    track = None if run["dark"] is None else render_wav(dark_track(process))
    path = folder / "card.html"
    path.write_text(card_html(RunCard(run, track)), encoding="utf-8")
    return path


@pytest.fixture
def opened(chromium, tmp_path):
    """A card opened from its file. Afterwards nothing was asked of any network, nothing went against its own policy."""
    context = chromium.new_context(viewport=PHONE)
    context.set_offline(True)
    page = context.new_page()
    wrong, asked = [], []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda m: wrong.append(m.text) if m.type == "error" else None)
    page.on("request", lambda r: asked.append(r.url))
    page.clock.install()

    def at(process=BLACK_AND_WHITE):
        page.goto(file_of(tmp_path, process).as_uri())
        page.wait_for_selector("html[data-ready]")
        return page

    yield at
    context.close()
    assert not wrong
    assert all(url.startswith(("file:", "data:")) for url in asked)


def marks_of(page, count):
    """What the card would hand in, once `count` marks are on the disk."""
    for _ in range(100):
        told = json.loads(page.input_value("#marks-text"))
        if len(told["marks"]) == count:
            break
        page.wait_for_timeout(30)
    return told


def test_a_whole_run_from_a_file(opened):
    page = opened()
    only_red(page)
    page.click("#begin")
    pass_time(page, 40)
    only_red(page)
    assert page.is_hidden("#handin")  # saving could open something white
    run_all(page)
    hold(page)
    assert page.inner_text("#doing") == "The run is finished."
    page.wait_for_selector("#book:text-is('6 marks on this card. Hand them in.')")  # told when it is on the disk
    told = marks_of(page, 6)
    assert (told["form"], told["sheet"]) == ("marks of a run", "K7QD")
    assert [m["kind"] for m in told["marks"]] == ["begun", *["lifted"] * 4, "finished"]
    with page.expect_download() as waiting:
        page.click("#save")
    assert json.loads(waiting.value.path().read_text(encoding="utf-8")) == told
    assert waiting.value.suggested_filename == "marks-K7QD.json"
    only_red(page)


def test_a_card_loaded_again_goes_on(opened):
    page = opened()
    page.click("#begin")
    pass_time(page, 121)
    hold(page)
    pass_time(page, 20)
    page.reload()
    page.wait_for_selector("html[data-ready]")
    assert page.get_attribute("#trays li[aria-current]", "data-step") == "stop"
    assert [m["kind"] for m in marks_of(page, 2)["marks"]].count("lifted") == 1


def test_the_dark_from_a_file(opened):
    page = opened(COLOUR)
    page.click("#begin")
    page.wait_for_selector("html[data-light=dark]")
    assert black(page)
    assert page.evaluate("!document.getElementById('track').paused")
    pass_time(page, 60 + COLOUR.steps[0].seconds)
    dark_hold(page, 700)
    assert black(page)
    assert [m["kind"] for m in marks_of(page, 2)["marks"]] == ["begun", "lifted"]


@pytest.mark.parametrize("process", [BLACK_AND_WHITE, COLOUR], ids=["black and white", "colour"])
def test_it_prints_how_to_count_on_one_page(opened, process):
    page = opened(process)
    page.emulate_media(media="print")
    text = page.inner_text(".counting")
    for step in process.steps:
        assert f"{step.tray}" in text
    assert "One thousand and one" in text
    assert "2 fingers" in text  # 120 s in the developer, by hand
    assert "safety data sheet" in text
    assert page.is_hidden(".bench")
    assert page.is_hidden("#begin")
    assert page.pdf(prefer_css_page_size=True).count(b"/Type /Page\n") == 1


def test_the_script_of_a_card_is_the_static_modules(opened):
    """Nothing is written twice: every line of the modules but their imports and exports stands in the card as it is."""
    from firstsheet.web.runcardfile import HERE

    whole = script_of(MODULES)
    for name in MODULES:
        for line in (HERE / "static" / f"{name}.js").read_text(encoding="utf-8").splitlines():
            if not line.startswith(("import ", "export ")):
                assert line in whole
