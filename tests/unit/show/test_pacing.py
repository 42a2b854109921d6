"""Moments and pictures in time, on a clock that stands until it is waited for."""

from remapd.show.pacing import paced
from remapd.show.session import Moment


class StandingClock:
    """Time goes on only by waiting; a wait for what is past takes no time."""

    def __init__(self) -> None:
        self.us = 0

    def now_us(self) -> int:
        return self.us

    def wait_until(self, us: int) -> None:
        self.us = max(self.us, us)


def test_moments_come_at_their_times_with_pictures_in_between() -> None:
    clock = StandingClock()
    moments = [Moment(0), Moment(120_000), Moment(120_500)]

    seen = [
        (clock.us, None if each is None else each.us)
        for each in paced(moments, 200_000, now_us=clock.now_us, wait_until=clock.wait_until)
    ]

    assert seen == [
        (0, 0),
        (0, None),
        (50_000, None),
        (100_000, None),
        (120_000, 120_000),
        (120_500, 120_500),
        (150_000, None),
    ]


def test_one_who_is_late_leaves_pictures_out_and_no_moment() -> None:
    clock = StandingClock()
    moments = [Moment(us) for us in range(0, 1_000_000, 100_000)]
    seen = []

    for each in paced(moments, 1_000_000, now_us=clock.now_us, wait_until=clock.wait_until):
        seen.append(None if each is None else each.us)
        clock.us += 400_000  # painting takes long here

    assert [us for us in seen if us is not None] == [moment.us for moment in moments]
    assert seen.count(None) <= 4
