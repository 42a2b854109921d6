"""A command that runs until it is told to end does end, whatever Python was doing just then."""

from __future__ import annotations

import os
import signal

import pytest

from remapd.cli.ending import ended_in_order
from remapd.cli.live_link import LiveLink

SIGNALS = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP]


@pytest.mark.parametrize("number", SIGNALS)
def test_a_signal_ends_it_as_ctrl_c_does(number: signal.Signals) -> None:
    before = signal.getsignal(number)

    with pytest.raises(KeyboardInterrupt), ended_in_order():
        os.kill(os.getpid(), number)
    assert signal.getsignal(number) == before


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.parametrize("number", SIGNALS)
def test_one_that_came_during_a_destructor_is_noticed_at_the_next_look(
    number: signal.Signals,
) -> None:
    class Closing:
        def __del__(self) -> None:
            os.kill(os.getpid(), number)

    with ended_in_order() as is_told_to_end:
        link = LiveLink("nobody", (), is_told_to_end=is_told_to_end)
        assert not is_told_to_end()
        closing = Closing()
        del closing  # Python drops the exception
        with pytest.raises(KeyboardInterrupt):
            link.messages(0.0)
