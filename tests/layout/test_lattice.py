"""The lattice against plain counting, and the members of a frame against theirs. Origin: by hand, the long way."""

from hypothesis import given
from hypothesis import strategies as st

from stubout.house.model import Frame
from stubout.layout.lattice import Lattice, direction_index

LINES = st.lists(st.integers(-4000, 4000).map(lambda n: n / 4), min_size=1, max_size=30)


def first_on_each_diagonal(lattice: Lattice, p: tuple[float, float]) -> dict[int, tuple[float, float]]:
    """Look at every point of the lattice."""
    out: dict[int, tuple[float, float]] = {}
    for x in lattice.xs:
        for y in lattice.ys:
            dx, dy = x - p[0], y - p[1]
            if x == p[0] or y == p[1] or abs(abs(dx) - abs(dy)) >= 0.3:
                continue
            k = direction_index(dx, dy)
            assert k is not None
            if k not in out or abs(dx) < abs(out[k][0] - p[0]):
                out[k] = (x, y)
    return out


@given(LINES, LINES, st.data())
def test_diagonals_land_on_the_first_point_of_each(xs, ys, data):
    lattice = Lattice(xs, ys)
    p = (data.draw(st.sampled_from(lattice.xs)), data.draw(st.sampled_from(lattice.ys)))
    assert dict(lattice.diagonal(p)) == first_on_each_diagonal(lattice, p)


@given(LINES, LINES, st.tuples(st.floats(-2000, 2000), st.floats(-2000, 2000)))
def test_snap_is_the_nearest_line_either_way(xs, ys, p):
    lattice = Lattice(xs, ys)
    x, y = lattice.snap(p)
    assert abs(x - p[0]) == min(abs(v - p[0]) for v in lattice.xs)
    assert abs(y - p[1]) == min(abs(v - p[1]) for v in lattice.ys)


@given(LINES, LINES)
def test_every_point_has_a_number_of_its_own(xs, ys):
    lattice = Lattice(xs, ys)
    numbers = [lattice.number((x, y)) for x in lattice.xs for y in lattice.ys]
    assert sorted(numbers) == list(range(lattice.size))


def test_a_lattice_line_every_few_mm_still_finds_its_diagonal():
    lattice = Lattice([0.0, 100.0, 103.0, 250.1], [0.0, 98.0, 103.2, 250.0])
    assert dict(lattice.diagonal((0.0, 0.0))) == {1: (103.0, 103.2)}


@given(st.lists(st.integers(0, 40), unique=True, max_size=15), st.integers(-5, 45), st.integers(-5, 45))
def test_members_between_two_places(centres, lo, hi):
    frame = Frame(
        "F", "", "sawn", "y", 235.0, 38.0, 38.0, 0.0, -235.0, 18.0, tuple(map(float, centres)), 0.0, 1.0, 0.0, 1.0
    )
    assert frame.between(lo, hi) == sum(1 for c in centres if lo < c < hi)
    assert frame.before(lo) == sum(1 for c in centres if c < lo)


SHORT = st.dictionaries(
    st.integers(-4000, 4000).map(lambda n: n / 4),
    st.tuples(st.integers(-900, 0), st.integers(0, 900)).map(lambda v: (float(v[0]), float(v[1]))),
    max_size=12,
)


@given(LINES, LINES, SHORT, SHORT, st.data())
def test_short_lines_cross_only_what_they_reach(xs, ys, short_xs, short_ys, data):
    """Looked at one by one: a line stands where no other is within 2 mm, and crosses what both of them reach."""
    lattice, long = Lattice(xs, ys, short_xs, short_ys), Lattice(xs, ys)
    for all_, own, short in ((lattice.xs, long.xs, short_xs), (lattice.ys, long.ys, short_ys)):
        kept = []
        for v in sorted(short):
            if all(abs(v - w) > 2.0 for w in (*own, *kept)):
                kept.append(v)
        assert all_ == sorted((*own, *kept))
    p = (data.draw(st.sampled_from(lattice.xs)), data.draw(st.sampled_from(lattice.ys)))
    if lattice.holds(*p):
        row, i, column, j = lattice.lines_through(p)
        assert list(row) == [v for v in lattice.xs if lattice.holds(v, p[1])]
        assert list(column) == [v for v in lattice.ys if lattice.holds(p[0], v)]
        assert (row[i], column[j]) == p
