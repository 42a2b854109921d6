"""The demo's session for tests, without its waits."""

from __future__ import annotations

from remapd.show.demo_recording import open_demo
from remapd.show.demo_screen import Cast, DemoScreen
from remapd.show.marks import Signs
from remapd.show.sentences import Teller
from remapd.show.session import Session
from tests.support.layouts import load_or_fail


def new_session() -> Session:
    """The session from its beginning."""
    return Session(open_demo(), lambda _path, text: load_or_fail(text))


def new_screen(session: Session, signs: Signs) -> DemoScreen:
    """Its picture, with nothing filled in."""
    return DemoScreen(session.layout, session.end_us, Cast.of(new_session()), signs)


def screen_at_its_end(signs: Signs) -> tuple[DemoScreen, int]:
    """Its picture when all is over, and when that is."""
    session = new_session()
    screen, teller = new_screen(session, signs), Teller(session.layout)
    for moment in session:
        screen.show(moment, teller.tell(moment))
    return screen, session.end_us
