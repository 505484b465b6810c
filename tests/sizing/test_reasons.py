"""How one pipe comes to its size: which reason decides, what is made, and how sizes grow. Expected values by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_systems import unsettled, words

from stubout.problems import Basis, NotInBook, Status
from stubout.sizing.drains import least_carrying, size_drain
from stubout.sizing.need import Need, size_derivation, stocked


def one_pipe(s, size=1.5, **more):
    s.at("a", 0, 0, 0, "trap")
    s.at("b", 1000, 0, -20, "sewer connection")
    s.drain("D", "a", "b", "branch", size, **more)
    return unsettled(s)


@pytest.mark.parametrize(
    ("asked", "made"),
    # plastic DWV pipe of the catalogue: 2-1/2, 5 and 8 in are hardly stocked, beyond 8 in there is none
    [(1.25, 1.25), (1.5, 1.5), (2.0, 2.0), (2.1, 3.0), (2.5, 3.0), (3.0, 3.0), (5.0, 6.0), (7.0, 7.0), (20.0, 20.0)],
)
def test_next_size_that_is_made(asked, made):
    assert stocked("abs", asked) == made


def test_largest_need_counts_and_what_is_larger_stays(sketch):
    sizes = one_pipe(sketch(), 2.0)
    pipe = sizes.network.pipe("D")
    sizes.settle(pipe, [Need(1.5, "a"), Need(1.25, "b")])
    assert (sizes.needed["D"], sizes.final["D"]) == (1.5, 2.0)
    sizes.settle(pipe, [Need(1.5, "a"), Need(2.0, "b")])
    assert (sizes.needed["D"], sizes.final["D"]) == (2.0, 2.0)
    sizes.settle(pipe, [Need(2.5, "a")])
    assert (sizes.needed["D"], sizes.final["D"]) == (2.5, 3.0)
    sizes.settle(pipe, [])
    assert (sizes.needed["D"], sizes.final["D"]) == (0.0, 2.0)


def test_a_need_added_afterwards_grows_the_pipe_once(sketch):
    sizes = one_pipe(sketch(), 1.5)
    pipe = sizes.network.pipe("D")
    sizes.settle(pipe, [Need(1.5, "a")])
    assert sizes.raise_to(pipe, Need(2.0, "b")) is True
    assert sizes.raise_to(pipe, Need(3.0, "b")) is False  # the same words: the same reason
    assert sizes.raise_to(pipe, Need(2.0, "c")) is False  # recorded, but nothing grew
    assert sizes.raise_to(pipe, Need(1.0, "d")) is False
    assert [n.words for n in sizes.needs["D"]] == ["a", "b", "c", "d"]
    assert sizes.final["D"] == 2.0


def test_fixtures_come_in_the_order_of_the_job(sketch):
    s = sketch()
    for tag in ("WC1", "LV1", "KS"):
        s.fixture(tag)
    sizes = one_pipe(s)
    assert [f.tag for f in sizes.fixtures(("KS", "WC1"))] == ["WC1", "KS"]
    assert sizes.fixtures(()) == []


def said(words):
    return Basis(words, "", "job", "", Status.JOB)


def derived(sizes, needs, pipe=None):
    pipe = pipe or sizes.network.pipe("D")
    sizes.settle(pipe, needs)
    return size_derivation(sizes, pipe)


def test_a_reason_of_its_own_decides_before_what_joins(sketch):
    sizes = one_pipe(sketch(), 2.0)
    needs = [
        Need(1.5, "small: x", (said("s"),)),
        Need(2.0, "no reduction downstream: E comes in", (said("j"),)),
        Need(2.0, "branch: 2 in carries 6", (said("b"),)),
    ]
    why = derived(sizes, needs)
    assert (why.about, why.what, why.value) == ("D", "size", "2 in")
    assert why.steps == (*(n.words for n in needs), "size 2 in: decided by branch")
    assert [b.what for b in why.bases] == ["b", "j", "s"]  # what decides comes first, nothing twice


def test_what_joins_decides_where_nothing_else_does(sketch):
    why = derived(one_pipe(sketch(), 2.0), [Need(1.5, "branch: x"), Need(2.0, "not smaller than what joins: V")])
    assert why.steps[-1] == "size 2 in: decided by not smaller than what joins"


def test_a_size_hardly_made_says_so(sketch):
    why = derived(one_pipe(sketch(), 1.5), [Need(2.5, "branch: x"), Need(2.0, "trap: y")])
    assert why.value == "3 in"
    assert why.steps[-1] == "2-1/2 in decided by branch; hardly made in plastic, so 3 in"


@pytest.mark.parametrize(("drawn", "how"), [(True, "drawn"), (False, "reckoned by the layout")])
def test_a_larger_size_says_who_chose_it(sketch, drawn, how):
    sizes = one_pipe(sketch(), 3.0)
    pipe = replace(sizes.network.pipe("D"), drawn=drawn)
    assert derived(sizes, [Need(2.0, "branch: x")], pipe).steps[-1] == f"size 3 in as {how}; 2 would do"
    assert derived(sizes, [Need(0.0, "remark")], pipe).steps[-1] == f"size 3 in as {how}"


def test_a_slim_vent_says_that_practice_decides(sketch):
    sizes = one_pipe(sketch(), 3.0)
    sizes.slim = {"D": 2.0}
    why = derived(sizes, [Need(1.5, "branch: x")], sizes.network.pipe("D"))
    assert why.value == "2 in"
    assert why.steps[-1] == "size 2 in for the vent of a 3 in stack: common practice, no source; 1-1/2 would do"


def test_remarks_decide_nothing(sketch):
    sizes = one_pipe(sketch(), 1.5)
    pipe = replace(sizes.network.pipe("D"), size_in=0.0)
    assert derived(sizes, [Need(0.0, "remark")], pipe).steps == ("remark",)


class Capacity:
    """A book of three sizes, silent on the others."""

    def __init__(self, book, **by_size):
        self.base = next(iter(book.values.values()))
        self.by_size = {2.0: 6.0, 3.0: 20.0, 4.0: 160.0} if not by_size else by_size["sizes"]

    def __call__(self, size_in):
        if size_in not in self.by_size:
            raise NotInBook("silent")
        return replace(self.base, value=self.by_size[size_in], printed=f"{self.by_size[size_in]:g}")


@pytest.mark.parametrize(("load", "size_in"), [(1, 2.0), (6, 2.0), (6.5, 3.0), (20, 3.0), (20.5, 4.0), (161, 4.0)])
def test_least_size_that_carries_a_load(sketch, load, size_in):
    need = least_carrying(load, Capacity(sketch().book), "branch", "FU")
    assert need.size_in == size_in
    assert ("no size of the book carries" in need.words) == (load > 160)
    assert len(need.bases) == 1


def test_no_capacity_at_all_asks_for_nothing(sketch):
    need = least_carrying(5, Capacity(sketch().book, sizes={}), "branch", "FU")
    assert (need.size_in, need.words, need.bases) == (0.0, "branch: the book has no capacity", ())


# --- reasons of a drain ----------------------------------------------------------------------------------------------


def settled(s, *ids):
    sizes = unsettled(s)
    for i in ids:
        size_drain(sizes, sizes.network.pipe(i))
    return sizes


def arm(s, *tags, role="trap arm", to=(1000, 0, -20), then="branch", **kinds):
    """Fixtures at the head of one arm A, which goes on as D to the sewer."""
    s.at("w", 0, 0, 0, "trap")
    s.at("t", *to, "junction")
    s.at("end", 3000, 0, to[2] - 60, "sewer connection")
    s.drain("A", "w", "t", role, 1.25)
    s.drain("D", "t", "end", then, 1.25)
    for tag in tags:
        s.fixture(tag, **kinds.get(tag, {}))
        s.trap(tag, "w", "", ("A",), "none")
    return s


def test_arm_takes_the_trap_of_its_fixture_or_a_larger_one_chosen(sketch):
    # npc-2020: the trap of a lavatory is 1-1/4 in at least
    s = arm(sketch(), "LV1")
    s.traps[0] = replace(s.traps[0], trap_in=1.5)
    sizes = settled(s, "A", "D")
    assert sizes.needed["A"] == 1.5
    assert "trap of LV1: lavatory, 1-1/4 in" in words(sizes, "A")
    assert "arm not smaller than its trap: 1-1/2 in chosen" in words(sizes, "A")
    assert sizes.needs["A"][-1].bases[0].status is Status.JOB
    assert "chosen" not in words(settled(arm(sketch(), "LV1"), "A"), "A")
    s = arm(sketch(), "LV1", LV1={"trap_in": 2.0})
    s.traps[0] = replace(s.traps[0], trap_in=0.0)  # the layout says none
    assert settled(s, "A").needed["A"] == 2.0


@pytest.mark.parametrize(("heads", "told"), [(1, False), (2, True), (4, True)])
def test_shower_trap_by_its_heads(sketch, heads, told):
    sizes = settled(arm(sketch(), "SH1", SH1={"heads": heads}), "A")
    assert (f", {heads} heads" in words(sizes, "A")) == told


def test_an_arm_shared_by_two_carries_both(sketch):
    sizes = settled(arm(sketch(), "LV1", "LV2"), "A")
    assert "arm shared as a branch" in words(sizes, "A")
    upright = settled(arm(sketch(), "LV1", "LV2", to=(0, 0, -1000)), "A")
    assert "arm shared as a drain" in words(upright, "A")
    assert "shared" not in words(settled(arm(sketch(), "LV1"), "A"), "A")
    fixture_drain = settled(arm(sketch(), "LV1", "LV2", role="fixture drain"), "A")
    assert "shared" not in words(fixture_drain, "A")
    assert words(fixture_drain, "A").count("trap of") == 2


def test_what_carries_no_fixture_asks_for_nothing(sketch):
    s = arm(sketch(), "LV1", then="cleanout extension")
    sizes = settled(s, "A", "D")
    assert words(sizes, "D").startswith("no fixture upstream")
    assert sizes.needs["D"][0].size_in == 0.0
    s = sketch()
    s.at("a", 0, 0, 0)
    s.at("b", 1000, 0, -20)
    s.drain("D", "a", "b", "branch", 1.25)
    assert words(settled(s, "D"), "D") == "no fixture upstream: the size of the pipe it serves"


@pytest.mark.parametrize("role", ["building drain", "building sewer"])
def test_the_lowest_drains_go_by_their_slope_and_upright_by_load(sketch, role):
    s = arm(sketch(), "WC1", then=role)
    sizes = settled(s, "A", "D")
    assert f"{role} at" in words(sizes, "D")
    s = arm(sketch(), "WC1", then=role)
    s.at("end", 1000, 0, -1500, "sewer connection")
    sizes = settled(s, "A", "D")
    assert "vertical drain, whole load" in words(sizes, "D")
    assert "from one storey" not in words(sizes, "D")


def test_an_upright_branch_has_no_storeys_and_a_stack_has(sketch):
    def upright(role):
        s = arm(sketch(), "LV1", "LV2", then=role)
        s.at("end", 1000, 0, -1500, "sewer connection")
        return words(settled(s, "A", "D"), "D")

    assert "vertical drain, whole load" in upright("branch")
    assert "from one storey" not in upright("branch")
    assert "from one storey (main)" in upright("stack")


def test_a_stack_goes_by_the_storey_with_most_load(sketch):
    s = arm(sketch(), "LV1", "WC1", "WC2", then="stack", WC1={"level": "upper"}, WC2={"level": "upper"})
    s.at("end", 1000, 0, -1500, "sewer connection")
    assert "from one storey (upper)" in words(settled(s, "A", "D"), "D")


def test_largest_feeder_is_not_reduced_cleanouts_left_out(sketch):
    s = sketch()
    s.at("j", 0, 0, 0, "junction")
    s.at("end", 0, -3000, -60, "sewer connection")
    s.drain("D", "j", "end", "branch", 1.25)
    for i, (size, role) in enumerate(((2.0, "branch"), (1.5, "branch"), (4.0, "cleanout extension"))):
        s.at(f"p{i}", 500 + i, 500, 20)
        s.drain(f"F{i}", f"p{i}", "j", role, size)
    sizes = settled(s, "F0", "F1", "F2", "D")
    assert words(sizes, "D").endswith("no reduction downstream: F0 comes in with 2 in")
    assert sizes.final["D"] == 2.0
    assert [len(n.bases) for n in sizes.needs["D"] if n.size_in] == [1]  # npc-2020 has the rule
    assert words(settled(s, "F0"), "F0") == "no fixture upstream: the size of the pipe it serves"


def test_a_feeder_not_settled_yet_is_left_out(sketch):
    s = arm(sketch(), "LV1")
    assert "no reduction" not in words(settled(s, "D"), "D")
