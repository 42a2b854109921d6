"""Makes the pictures of the pages, with the program itself, and the pages made of pictures.

    python -m tests.generate_pictures

Cards of every shipped layout and of the layout that the caregiver's guide builds come as SVG, with
docs/cards.md, which shows them; the hand-over sheet comes as a page for paper, the player's guide
as a page for the desktop's menu. The live page and
the report are photographed in a Chromium; where there is none, those that are there stay.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from remapd.engine.layout import Layout
from remapd.language import load, load_text
from remapd.show.card_model import Card, card_of
from remapd.show.card_pages import pages_of
from remapd.show.card_svg import page_file
from remapd.show.card_text import as_text
from tests.docs.printable import guide, sheet
from tests.support.browser import Browser, program
from tests.support.stand_in_daemon import StandInDaemon

CHECKOUT: Final = Path(__file__).resolve().parent.parent
FOLDER: Final = "docs/pictures"
#: A layout that a page builds: the last block of this name in it is drawn.
_BUILT: Final = {"docs/guide-caregiver.md": "ours.yaml"}
_SHEET: Final = "docs/hand-over-sheet"
#: Photographs, and how large the window is.
SCREENS: Final = {"watch-page.png": (1100, 820), "report.png": (1000, 760)}
_FOR_WHOM: Final = re.compile(r"^\| `([a-z-]+)` \| (.+?) \| (.+?) \|$", re.MULTILINE)


def shipped() -> dict[str, Layout]:
    """Every layout in layouts/, in the order of README's table."""
    names = [name for name, _, _ in _FOR_WHOM.findall(_page("README.md"))]
    found: dict[str, Layout] = {}
    for name in names:
        layout = load(CHECKOUT / "layouts" / f"{name}.yaml").layout
        assert layout is not None, name
        found[name] = layout
    return found


def texts() -> dict[str, str]:
    """Everything but the photographs, by its path from the checkout."""
    made: dict[str, str] = {}
    for name, layout in shipped().items():
        made |= _card_files(name, card_of(layout))
    for page, name in _BUILT.items():
        blocks = re.findall(rf"```yaml {re.escape(name)}\n(.*?)```\n", _page(page), re.DOTALL)
        built = load_text(blocks[-1]).layout
        assert built is not None, page
        made |= _card_files(Path(name).stem, card_of(built))
    made["docs/cards.md"] = cards_page()
    made[f"{_SHEET}.html"] = sheet(_page(f"{_SHEET}.md"))
    made["remapd/show/data/hand-over-sheet.html"] = made[f"{_SHEET}.html"]
    pictures = {
        path.removeprefix("docs/"): text.partition("\n")[2].strip()
        for path, text in made.items()
        if path.endswith(".svg")
    }
    made["remapd/show/data/guide-player.html"] = guide(_page("docs/guide-player.md"), pictures)
    return made


def cards_page() -> str:
    """The page that shows the card of every shipped layout, and says it in words."""
    parts = [_CARDS_HEAD]
    for_whom = {
        name: (whom, devices) for name, whom, devices in _FOR_WHOM.findall(_page("README.md"))
    }
    for name, layout in shipped().items():
        card = card_of(layout)
        whom, devices = for_whom[name]
        files = sorted(Path(path).name for path in _card_files(name, card))
        pictures = "\n".join(
            f'<a href="pictures/{file}"><img src="pictures/{file}" width="420" '
            f'alt="{_alt(card, number, len(files))}"></a>'
            for number, file in enumerate(files, 1)
        )
        parts.append(
            f"## {card.title}\n\n`layouts/{name}.yaml`, for {whom}. Plug in: {devices}.\n\n"
            f"{pictures}\n\n<details>\n<summary>The same in words</summary>\n\n"
            f"```text\n{as_text(card).strip()}\n```\n\n</details>\n"
        )
    return "\n".join(parts)


_CARDS_HEAD: Final = """\
# Cards of the layouts that come with remapd

`remapd card LAYOUT` draws a layout for the wall: each control where the player has it, and in it
what it does. A white word on black leads to that layer; a dashed box does the same as in the layer
below; a double frame is the helper's. [More of the card](card-and-report.md). This page is made by
the program: `python -m tests.generate_pictures`.
"""


def _alt(card: Card, number: int, count: int) -> str:
    which = f", page {number} of {count}" if count > 1 else ""
    return f"Card of “{card.title}”{which}; the words below say all that is on it"


def _card_files(name: str, card: Card) -> dict[str, str]:
    pages = pages_of(card, "a4")
    count = len(pages)
    return {
        f"{FOLDER}/{name}{f'-{number}' if count > 1 else ''}.svg": page_file(
            card, page, number, count
        )
        for number, page in enumerate(pages, 1)
    }


def _page(path: str) -> str:
    return (CHECKOUT / path).read_text(encoding="utf-8")


# ---------------------------------------------------------------- photographs
def photograph(folder: Path) -> None:
    """Takes SCREENS into a folder; needs a Chromium."""
    with Browser() as browser, tempfile.TemporaryDirectory() as name:
        place = Path(name)
        width, height = SCREENS["watch-page.png"]
        with _live_page(place) as address:
            page = browser.open(address, width, height)
            page.until("document.querySelectorAll('#hands li').length > 2")
            page.until("document.body.innerText.includes('ignored')")
            page.until("document.body.innerText.includes('more')")
            page.screenshot(folder / "watch-page.png")
        width, height = SCREENS["report.png"]
        report = place / "report.html"
        session = CHECKOUT / "tests/corpus/harbour.jsonl"
        _remapd("report", str(session), "-o", str(report))
        browser.open(report.as_uri(), width, height).screenshot(folder / "report.png")


@contextmanager
def _live_page(place: Path) -> Iterator[str]:
    """The page of a daemon in the middle of play."""
    layout = CHECKOUT / "layouts/trackball-and-knees.yaml"
    copy = place / layout.name
    copy.write_bytes(layout.read_bytes())
    with StandInDaemon(place, copy, state=place / "state") as daemon:
        daemon.unplug("companion-pad")
        watching = subprocess.Popen(
            [sys.executable, "-m", "remapd", "watch", "--page"],
            env=daemon.environment,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert watching.stdout is not None
        address = watching.stdout.readline().removeprefix("The page: ").strip()
        try:
            daemon.tap("left-knee", 0.05)
            daemon.tap("left-knee", 0.3)
            daemon.tap("left-knee", 1.2)
            daemon.tap("right-knee", 0.3)
            yield address
        finally:
            watching.terminate()
            watching.wait(20)
            watching.stdout.close()


def _remapd(*words: str) -> None:
    subprocess.run([sys.executable, "-m", "remapd", *words], check=True, cwd=CHECKOUT)


def _write(made: Mapping[str, str]) -> None:
    gone = set((CHECKOUT / FOLDER).glob("*.svg")) - {CHECKOUT / path for path in made}
    for path, text in made.items():
        (CHECKOUT / path).write_text(text, encoding="utf-8")
    for old in gone:
        old.unlink()


if __name__ == "__main__":
    (CHECKOUT / FOLDER).mkdir(exist_ok=True)
    _write(texts())
    if program() is None:
        print(f"no Chromium here: {', '.join(SCREENS)} stay as they are")
    else:
        photograph(CHECKOUT / FOLDER)
