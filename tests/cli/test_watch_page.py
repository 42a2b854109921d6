"""The page of `remapd watch --page`, as the server gives it and as a real Chromium shows it."""

from __future__ import annotations

import http.client
import itertools
import re
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from remapd.cli.main import main
from remapd.show.live.page_server import PAGES_MOST, PageServer
from remapd.show.live.picture import Picture
from tests.support.browser import Browser, Page, program
from tests.support.stand_in_daemon import StandInDaemon

TITLE = """<script>alert(1)</script> & "قارب" <b>'"""
BOAT = f"""\
remapd: 1
title: '{TITLE.replace("'", "''")}'
base: sail
verbs: {{hoist: south, steer: left-stick}}
devices:
  knees:
    find: {{name: "Knee box"}}
    controls:
      left-knee: {{button: BTN_0, acceptance-delay: 80ms}}
      right-knee: {{button: BTN_1}}
      chin: {{button: BTN_2}}
  foot:
    find: {{name: "Foot stick"}}
    controls:
      tiller: {{stick: [ABS_X, ABS_Y]}}
      pedal: {{lever: ABS_Z}}
  helper-box:
    person: helper
    find: {{name: "Helper box"}}
    controls:
      thumb: {{button: BTN_3}}
layers:
  sail:
    left-knee: hoist
    right-knee: {{layer: net, how: toggle}}
    chin: {{latch: east}}
    tiller: steer
    thumb: west
  net:
    left-knee: east
"""


# ---------------------------------------------------------------- the server
@pytest.fixture
def server() -> Iterator[PageServer]:
    with closing(PageServer("127.0.0.1", 0)) as made:
        made.publish(Picture("Harbour", ""))
        yield made


def got(server: PageServer, path: str, method: str = "GET") -> http.client.HTTPResponse:
    link = http.client.HTTPConnection("127.0.0.1", server.port, timeout=10)
    link.request(method, path)
    return link.getresponse()


def test_only_who_knows_the_address_sees_anything(server: PageServer) -> None:
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/[\w-]{20,}/", server.address)
    for path in ("/", "/watch.js", "/events", f"/{server.secret[:-1]}/", f"/x{server.secret}/"):
        answer = got(server, path)
        assert (answer.status, answer.read()) == (404, b"")
    for name in ("", "watch.css", "watch.js"):
        assert got(server, f"/{server.secret}/{name}").status == 200
    assert got(server, f"/{server.secret}/../../etc/passwd").status == 404


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_nothing_can_be_sent_to_it(server: PageServer, method: str) -> None:
    assert got(server, f"/{server.secret}/", method).status == 501


def test_the_page_may_load_nothing_from_elsewhere_and_tells_nobody_its_address(
    server: PageServer,
) -> None:
    answer = got(server, f"/{server.secret}/", "HEAD")

    policy = answer.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'")
    assert "unsafe" not in policy
    assert "*" not in policy
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cache-Control"] == "no-store"
    for name in ("watch.html", "watch.css", "watch.js"):
        text = (Path(main.__code__.co_filename).parents[1] / "show" / "data" / name).read_text()
        elsewhere = set(re.findall(r"(?:https?:)?//[\w.-]+\.\w+[\w./-]*", text))
        assert elsewhere <= {"http://www.w3.org/2000/svg"}, name  # a name, not an address


def test_pictures_come_as_they_change_and_not_more_than_ten_a_second(server: PageServer) -> None:
    answer = got(server, f"/{server.secret}/events")
    assert answer.headers["Content-Type"] == "text/event-stream"
    began = time.monotonic()
    seen, line = 0, b""
    for number in range(200):
        server.publish(Picture(f"Harbour {number}", ""))
        time.sleep(0.005)
    while time.monotonic() - began < 1.0 or b"Harbour 199" not in line:
        line = answer.readline()
        seen += line.startswith(b"data: ")

    assert seen <= 10 * (time.monotonic() - began) + 2
    answer.close()


def test_so_many_pages_and_no_more(server: PageServer) -> None:
    pages = [got(server, f"/{server.secret}/events") for _ in range(PAGES_MOST)]
    assert [page.status for page in pages] == [200] * PAGES_MOST
    assert got(server, f"/{server.secret}/events").status == 503
    for page in pages:
        page.close()


# ---------------------------------------------------------------- the command
@pytest.fixture
def daemon(tmp_path: Path) -> Iterator[StandInDaemon]:
    layout = tmp_path / "boat.yaml"
    layout.write_text(BOAT)
    with StandInDaemon(tmp_path, layout) as started:
        yield started


@pytest.fixture
def address(daemon: StandInDaemon) -> Iterator[str]:
    watching = subprocess.Popen(
        [sys.executable, "-m", "remapd", "watch", "--page"],
        env=daemon.environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert watching.stdout is not None
    yield watching.stdout.readline().removeprefix("The page: ").strip()
    watching.terminate()
    assert watching.wait(20) == 0
    assert watching.stdout.read() == "Ctrl-C ends it.\n"
    watching.stdout.close()


def test_it_is_for_this_computer_unless_another_is_asked_for(
    daemon: StandInDaemon, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    with closing(PageServer("0.0.0.0", 0)) as server:  # noqa: S104 - what is tested
        assert not server.is_for_this_computer
        assert "//0." not in server.address
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(daemon.folder))
    for words, wanted in (
        (["--page", "--listen", "tablet"], "`tablet` is no address: write numbers"),
        (["--page", "--listen", "192.0.2.77"], "nothing can be served at 192.0.2.77: "),
        (["--port", "8080"], "--port and --listen are for the page: add --page"),
    ):
        capfd.readouterr()
        assert main(["watch", *words]) == 1
        assert wanted in capfd.readouterr().err
    assert main(["watch", "--page", "--port", "80000"]) == 2
    assert main(["watch", "--page", "--json"]) == 2


# ---------------------------------------------------------------- in a browser
needs_browser = pytest.mark.skipif(
    program() is None,
    reason="NO BROWSER HERE, so the page was not looked at: apt install chromium",
)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with Browser() as started:
        yield started


@pytest.fixture
def page(browser: Browser, address: str) -> Iterator[Page]:
    browser.events.clear()
    opened = browser.open(address, 1180, 820)
    opened.run("localStorage.clear()")
    opened.until("document.querySelectorAll('#hands li').length === 5")
    yield opened
    assert opened.complaints() == []
    own = urlsplit(address).netloc
    asked = [each for each in opened.requested() if not each.startswith(("data:", "about:"))]
    assert {urlsplit(each).netloc for each in asked} == {own}
    opened.close()


TILES = """Object.fromEntries([...document.querySelectorAll('.tiles li')].map(
    (tile) => [tile.querySelector('bdi').textContent, tile.className + ' ' + tile.textContent]))"""


@needs_browser
def test_it_shows_what_happens_and_names_are_text(daemon: StandInDaemon, page: Page) -> None:
    assert page.run("document.getElementById('title').textContent") == TITLE
    assert page.run("document.querySelectorAll('h1 *, main script, main b').length") == 0
    assert TITLE in page.run("document.title")

    daemon.press("right-knee")
    page.until("document.querySelector('#layers li.top bdi').textContent === 'net'")
    tiles = page.run(TILES)
    assert tiles["right-knee"] == "lit ◆ right-kneepressed"
    assert tiles["left-knee"].strip() == "left-knee"
    assert "◆" not in tiles["thumb"]

    daemon.move("tiller", 0.0, -1.0)
    page.until(f"({TILES})['steer'].startsWith('lit')")
    assert page.run(TILES)["steer"] == "lit ◆ steerleft-stickup, 100 %"

    daemon.touch("left-knee")
    page.until("document.querySelector('#told').textContent.includes('acceptance-delay is 80 ms')")
    assert page.run("document.querySelector('#told .mark').textContent") == "×"

    daemon.save(BOAT.replace("hoist\n", "hoits\n"))
    page.until("!document.getElementById('refused-part').hidden")
    assert "boat.yaml, saved at" in page.run("document.getElementById('refused').textContent")
    assert "did you mean `hoist`?" in page.run(
        "document.getElementById('refused').parentElement.textContent"
    )

    daemon.unplug("foot")
    page.until("document.getElementById('devices').textContent.includes('not plugged in')")


@needs_browser
def test_the_daemons_end_and_return_are_told(daemon: StandInDaemon, page: Page) -> None:
    daemon.press("right-knee")
    page.until("document.querySelector('#layers li.top bdi').textContent === 'net'")

    daemon.kill()
    page.until("document.getElementById('trouble').textContent.includes('waiting for it')")
    page.until("!document.querySelectorAll('#layers li, .lit').length")
    daemon.restart()

    page.until("document.getElementById('trouble').hidden")


@needs_browser
def test_it_works_with_the_keyboard_alone(daemon: StandInDaemon, page: Page) -> None:
    order = []
    for _ in range(4):
        page.tab()
        order.append(page.run("document.activeElement.id"))
        outline = page.run("getComputedStyle(document.activeElement).outlineWidth")
        assert outline == "4px", "the focus is not seen (WCAG 2.2, 2.4.7)"
    assert order == ["smaller", "larger", "colours", "still"]

    page.enter()
    assert page.run("document.getElementById('still').getAttribute('aria-pressed')") == "true"
    daemon.press("right-knee")
    time.sleep(0.5)
    assert page.run("document.querySelectorAll('.lit').length") == 0, "it does not hold still"
    page.enter()
    page.until("document.querySelectorAll('.lit').length === 1")

    before = page.run("parseFloat(getComputedStyle(document.body).fontSize)")
    page.run("document.getElementById('larger').focus()")
    page.enter()
    assert page.run("parseFloat(getComputedStyle(document.body).fontSize)") > before >= 20


def named(tree: list[dict[str, Any]], role: str) -> list[str]:
    return [
        node.get("name", {}).get("value", "")
        for node in tree
        if node.get("role", {}).get("value") == role
    ]


@needs_browser
def test_a_screen_reader_finds_its_way(daemon: StandInDaemon, page: Page) -> None:
    daemon.press("right-knee")
    page.until("document.querySelectorAll('.lit').length === 1")
    tree = page.tree()

    assert named(tree, "button") == ["Smaller text", "Larger text", "Dark", "Hold still"]
    headings = named(tree, "heading")
    assert headings[0] == TITLE
    assert "What the hands do" in headings
    assert set(headings[1:]) == set(named(tree, "region"))
    for role in ("list", "region", "main", "banner", "status"):
        assert named(tree, role), role
    text = " ".join(named(tree, "StaticText"))
    assert "right-knee" in text
    assert "in the middle" in text, "a stick is not told in words"
    assert "◆" not in text.split("pressed, on or here")[0].rsplit(maxsplit=1)[0], (
        "marks are read out"
    )
    assert page.run("document.documentElement.lang") == "en"


@needs_browser
def test_a_screen_reader_is_told_of_layers_but_not_of_every_press(
    daemon: StandInDaemon, page: Page
) -> None:
    page.run(
        """window.said = [];
        new MutationObserver(() => said.push([performance.now(),
            document.getElementById('announced').textContent]))
        .observe(document.getElementById('announced'), {childList: true, characterData: true,
            subtree: true})"""
    )
    for _ in range(20):
        daemon.tap("left-knee", 0.1)
    assert page.run("said") == []

    for _ in range(21):
        daemon.tap("right-knee", 0.1)
    page.until("said.length && said.at(-1)[1].includes('Layer net over sail')")

    times = [at for at, _ in page.run("said")]
    assert all(b - a >= 1990 for a, b in itertools.pairwise(times)), times
    live = "document.querySelectorAll('[aria-live], [role=alert], [role=status], [role=log]')"
    assert page.run(f"[...{live}].map((each) => each.id)") == ["announced"]
    assert page.run("document.getElementById('announced').getAttribute('aria-live')") == "polite"


#: The relative luminance and the contrast ratio of WCAG 2.2, for every text that is seen.
CONTRASTS = """(() => {
  const part = (c) => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  const numbers = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) =>
    0.2126 * part(r / 255) + 0.7152 * part(g / 255) + 0.0722 * part(b / 255);
  const behind = (element) => {
    for (let each = element; each; each = each.parentElement) {
      const colour = numbers(getComputedStyle(each).backgroundColor);
      if (colour.length === 3 || colour[3] === 1) return colour;
    }
    return [255, 255, 255];
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.textContent.trim() || !element.checkVisibility()) continue;
    if (element.closest('script, noscript')) continue;
    const [a, b] = [light(numbers(getComputedStyle(element).color)), light(behind(element))];
    found.push([(Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05),
      walker.currentNode.textContent.trim().slice(0, 40)]);
  }
  return found;
})()"""


@needs_browser
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_every_text_stands_out(daemon: StandInDaemon, page: Page, dark: bool) -> None:
    """WCAG 2.2, 1.4.6: 7 : 1; 1.4.3, of level AA, wants 4.5 : 1."""
    daemon.press("right-knee")
    daemon.tap("chin")
    daemon.touch("left-knee")
    daemon.save(BOAT.replace("hoist\n", "hoits\n"))
    page.until("!document.getElementById('refused-part').hidden")
    if dark:
        page.run("document.getElementById('colours').click()")

    contrasts = page.run(CONTRASTS)

    assert len(contrasts) > 40
    assert [each for each in contrasts if each[0] < 7] == []


@needs_browser
def test_it_fits_a_phone_and_what_is_touched_is_large(page: Page) -> None:
    """WCAG 2.2, 1.4.10 (reflow at 320 CSS pixels) and 2.5.5 (targets of 44 by 44)."""
    sizes = """[...document.querySelectorAll('button')].map(
        (each) => each.getBoundingClientRect()).map((box) => Math.min(box.width, box.height))"""
    for width in (320, 420, 768, 1024, 1180, 1920):
        page.resize(width, 800)
        assert page.run("document.documentElement.scrollWidth") <= width
        assert min(page.run(sizes)) >= 44
    for _ in range(8):
        page.run("document.getElementById('larger').click()")
    for width in (320, 768, 1180):
        page.resize(width, 800)
        assert page.run("document.documentElement.scrollWidth") <= width


@needs_browser
def test_a_page_that_is_gone_is_forgotten(page: Page, address: str) -> None:
    """A tablet that fell asleep must not keep its place for ever."""
    for _ in range(3 * PAGES_MOST):
        try:
            with urllib.request.urlopen(f"{address}events", timeout=5) as events:  # noqa: S310
                events.readline()
        except urllib.error.HTTPError as error:
            assert error.code == 503  # noqa: PT017 - until the server has noticed
            time.sleep(0.5)
    page.reload()
    page.until("document.querySelectorAll('#hands li').length === 5")
