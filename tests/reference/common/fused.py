"""Random installations with fuses, as job documents: zones that fuses part, fed from several places.

A zone is some points joined by wires; points are splices. Fuses join zones as a tree with chords, so that some zones
are fed over several fuses. Batteries and alternators sit anywhere.
"""

from .chance import Chance
from .draft import Draft, Point
from .jobs import Json

#: Ratings fuses are drawn from, in amperes.
RATINGS = (5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 40.0, 60.0, 80.0)


def job(seed: int) -> Json:
    """The job that belongs to `seed`."""
    chance = Chance(seed)
    draft = Draft(chance, 12)
    zones = [zone(draft) for _ in range(chance.whole(2, 7))]
    for number, points in enumerate(zones[1:], start=1):
        fuse(draft, chance.one_of(zones[chance.below(number)]), chance.one_of(points))
    for _ in range(chance.whole(0, 4)):
        fuse(draft, chance.one_of(chance.one_of(zones)), chance.one_of(chance.one_of(zones)))
    for _ in range(chance.whole(1, 2)):
        battery(draft, chance.one_of(chance.one_of(zones)))
    if chance.happens(0.5):
        alternator(draft, chance.one_of(chance.one_of(zones)))
    for _ in range(chance.whole(1, 4)):
        lamp(draft, chance.one_of(chance.one_of(zones)))
    return draft.job(f"Random zones {seed}")


def zone(draft: Draft) -> list[Point]:
    """Some points joined by wires, now and then in a ring."""
    chance = draft.chance
    points = [Point(draft)]
    for _ in range(chance.whole(0, 3)):
        points.append(Point(draft))
        draft.join(chance.one_of(points[:-1]), points[-1])
    if len(points) > 2 and chance.happens(0.4):
        draft.join(points[0], points[-1])
    return points


def fuse(draft: Draft, start: Point, end: Point) -> None:
    """A fuse between two points, wired at both sides."""
    if start is not end:
        draft.between(start, draft.part("fuse", rating_a=draft.chance.one_of(RATINGS)), ("1", "2"), end)


def battery(draft: Draft, feed: Point) -> None:
    """A battery with its negative pole on the body."""
    part = draft.part("battery")
    draft.wire(f"{part['id']}.+", feed.terminal())


def alternator(draft: Draft, feed: Point) -> None:
    """An alternator, mostly with a limit."""
    chance = draft.chance
    part = draft.part("alternator")
    if chance.happens(0.8):
        part["values"]["limit_a"] = chance.between(20.0, 90.0, 0)
    draft.wire(f"{part['id']}.B+", feed.terminal())


def lamp(draft: Draft, feed: Point) -> None:
    """A lamp with an earth point of its own."""
    part, earth = draft.part("lamp", watts=21.0), draft.part("earth")
    draft.wire(feed.terminal(), f"{part['id']}.1")
    draft.wire(f"{part['id']}.2", f"{earth['id']}.1")
