"""A clean job is silent; the order of findings is fixed."""

import pytest


@pytest.mark.parametrize("book", ["npc-2020"])
def test_clean_bath_gives_no_finding(kit, book):
    findings, _ = kit.run_all(kit.design(book=book))
    assert [(f.check, f.about, f.found) for f in findings] == []


def test_what_a_clean_bath_leaves_unjudged_is_named(kit):
    _, silent = kit.run_all(kit.design())
    assert {n.check for n in silent} <= {"CLO002", "CLR001", "CLR002", "CLR003", "GRD001", "SUP001", "TRP005"}
    assert all(n.reason for n in silent)


def test_order_is_level_then_id_then_about(kit):
    d = kit.design(
        edit={"A1": {"b": (0, 609, 512.0)}, "D1": {"a": (0, 609, 512.0)}, "V1": {"a": (0, 609, 512.0), "size": 1.25}}
    )
    findings, _ = kit.run_all(d)
    rank = {"STOP": 0, "FIX": 1, "ASK": 2, "NOTE": 3}
    keys = [(rank[f.level.value], f.check, f.about) for f in findings]
    assert keys == sorted(keys)
    assert kit.run_all(d) == kit.run_all(d)


def test_every_finding_answers_the_questions(kit):
    d = kit.design(drop=("V1",), edit={"B2": {"size": 3}})
    findings, _ = kit.run_all(d)
    assert findings
    for f in findings:
        assert f.found
        assert f.wanted
        assert f.do
        assert f.why
        assert f.about
        assert f.bases
