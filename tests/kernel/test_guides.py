"""The layout that the caregiver's guide builds, on a real kernel: it does what the guide says."""

from __future__ import annotations

import re
from collections.abc import Callable

from evdev import UInput, ecodes

from tests.docs.pages import CHECKOUT, Page
from tests.support.daemon import BOX, Daemon, press, release, until

LEFT_HAND, RIGHT_HAND, FOOT = ecodes.BTN_0, ecodes.BTN_1, ecodes.BTN_2


def test_the_layout_of_the_guide_plays_and_a_change_counts_at_once(
    start: Callable[..., Daemon], plug: Callable[..., UInput]
) -> None:
    page = Page(CHECKOUT / "docs/guide-caregiver.md")
    built = [text for kind, text in page.blocks if kind == "yaml ours.yaml"]
    before, after = (re.sub(r'"Switch box\*"', '"Guide box"', text) for text in built)
    box = plug(BOX, "Guide box")
    daemon = start(before)
    daemon.until_taken("box")
    game = daemon.game

    press(box, FOOT)
    game.until_pressed("south")
    release(box, FOOT)
    game.until_neutral()
    daemon.save(after)
    until(lambda: "deck" in [each["layer"] for each in daemon.ask("layout")["layout"]["layers"]])

    press(box, FOOT)
    daemon.until_status(lambda status: status["layers"] == ["sail", "deck"])
    release(box, FOOT)
    press(box, RIGHT_HAND)
    game.until(lambda view: view.axes["right-trigger"] == 255)
    game.until_neutral()
    release(box, RIGHT_HAND)
    daemon.until_status(lambda status: status["layers"] == ["sail"])
    press(box, LEFT_HAND)
    game.until(lambda view: view.axes["left-stick.x"] == -32767)
    box.close()
    game.until_neutral()
