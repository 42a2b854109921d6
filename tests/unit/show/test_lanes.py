"""Lanes: what each column of the picture shows, at the edges of its time above all."""

from remapd.show.lanes import Kind, LayerLane, Mark, MoveLane, PressLane, way_of


def marks(lane: PressLane | MoveLane | LayerLane, columns: int, width_us: int = 100) -> list[Mark]:
    return [lane.mark(n * width_us, (n + 1) * width_us) for n in range(columns)]


def test_a_short_press_is_one_mark_and_a_long_one_goes_on() -> None:
    lane = PressLane()
    lane.press(110)
    lane.release(130)
    lane.press(350)
    lane.release(520)

    assert marks(lane, 7) == [
        Mark(Kind.REST),
        Mark(Kind.PRESS, 1),
        Mark(Kind.REST),
        Mark(Kind.PRESS, 1),
        Mark(Kind.HELD),
        Mark(Kind.HELD),
        Mark(Kind.REST),
    ]


def test_presses_that_begin_in_one_column_are_counted() -> None:
    lane = PressLane()
    for us in (100, 130, 160, 199, 200):
        lane.press(us)
        lane.release(us + 10)

    assert marks(lane, 3) == [Mark(Kind.REST), Mark(Kind.PRESS, 4), Mark(Kind.PRESS, 1)]


def test_a_release_at_a_columns_edge_is_not_held_in_it() -> None:
    lane = PressLane()
    lane.press(50)
    lane.release(100)

    assert marks(lane, 2) == [Mark(Kind.PRESS, 1), Mark(Kind.REST)]


def test_a_refused_press_shows_that_it_did_nothing() -> None:
    lane = PressLane()
    lane.press(10)
    lane.release(150)
    lane.refuse()
    lane.press(210)
    lane.release(220)

    assert marks(lane, 3) == [Mark(Kind.REFUSED), Mark(Kind.REFUSED), Mark(Kind.PRESS, 1)]


def test_a_press_stays_active_for_a_moment_so_that_quick_ones_look_like_one() -> None:
    lane = PressLane()
    assert not lane.is_active(0)

    lane.press(1_000_000)
    assert lane.is_active(9_000_000)

    lane.release(9_000_000)
    assert lane.is_active(9_349_999)
    assert not lane.is_active(9_350_000)


def test_a_stick_shows_the_way_of_its_furthest_place() -> None:
    lane = MoveLane()
    lane.move(120, 0.3, 0.0)
    lane.move(150, 0.0, -0.9)
    lane.move(180, 0.0, 0.0)

    assert marks(lane, 3) == [Mark(Kind.REST), Mark(Kind.MOVED, 6), Mark(Kind.REST)]


def test_a_stick_that_stays_is_shown_until_it_is_let_go() -> None:
    lane = MoveLane()
    lane.move(50, -1.0, 0.0)
    lane.move(300, 0.0, 0.0)

    assert marks(lane, 4) == [Mark(Kind.MOVED, 4)] * 3 + [Mark(Kind.REST)]
    assert lane.is_active(301)
    assert not lane.is_active(1_000_000)


def test_ways_are_eighths_clockwise_from_the_right_and_none_near_the_middle() -> None:
    assert [way_of(x, y) for x, y in ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1))] == [
        *range(6)
    ]
    assert way_of(0, -1) == 6
    assert way_of(1, -1) == 7
    assert way_of(0.14, 0.0) is None


def test_a_layer_is_shown_wherever_it_was_on_for_a_moment() -> None:
    lane = LayerLane()
    lane.switch(150, on=True)
    lane.switch(160, on=True)
    lane.switch(170, on=False)
    lane.switch(300, on=True)

    assert marks(lane, 4) == [
        Mark(Kind.REST),
        Mark(Kind.HELD),
        Mark(Kind.REST),
        Mark(Kind.HELD),
    ]
    assert lane.is_on
