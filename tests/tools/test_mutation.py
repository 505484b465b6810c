"""The mutation tool on small modules of our own: what is mutated, what is left alone, how a fault reaches live code."""

from __future__ import annotations

import re
import sys
import tomllib
from types import FunctionType, ModuleType

import pytest
from tools.mutation import constants, fresh, report, warm
from tools.mutation.mutants import Faults, Mutant
from tools.mutation.parts import PARTS
from tools.mutation.run import choose

SOURCE = '''"""A docstring of the module."""
import math

LIMIT_MM = 5.0


def wide(a: int, b: "int" = 2) -> bool:
    """Return whether it is wide."""
    if a < b and not a == 3:
        return True
    print("two words")
    return abs(a) > b - 1e-6


def names(rows):
    out = []
    for r in rows:
        if r is None:
            continue
        out.append(f"is {r + 1} long")
    return max(out, default="none")
'''


def shown(source: str) -> list[tuple[str, str, str]]:
    return [(m.rule, m.before, m.after) for m in Faults("m", source, "m.py")]


def test_what_is_mutated():
    got = shown(SOURCE)
    assert ("value", "LIMIT_MM = 5.0", "LIMIT_MM = 6.0") in got
    assert ("limit", "a < b", "a <= b") in got
    assert ("turn", "a < b", "a >= b") in got
    assert ("and-or", "a < b and (not a == 3)", "a < b or not a == 3") in got
    assert ("turn", "a == 3", "a != 3") in got
    assert ("value", "return True", "return False") in got
    assert ("leave out", "print('two words')", "pass") in got
    assert ("call", "abs(a)", "float(a)") in got
    assert ("sum", "b - 1e-06", "b + 1e-06") in got
    assert ("loop", "continue", "break") in got
    assert ("sum", "r + 1", "r - 1") in got
    assert ("word", "default='none'", "default='XnoneX'") in got
    assert ("value", "2", "3") in got  # a default


def test_what_is_left_alone():
    got = shown(SOURCE)
    assert not any("docstring" in b or "two words'" in a for _, b, a in got)
    assert not any(rule == "word" and "int" in b for rule, b, _ in got)  # annotations
    assert ("limit", "abs(a) > b - 1e-06", "abs(a) >= b - 1e-06") not in got  # carries a tolerance
    assert ("turn", "abs(a) > b - 1e-06", "abs(a) <= b - 1e-06") in got
    assert not any("import" in b for _, b, _ in got)
    assert shown("__all__ = ['a', 'b']\n") == []
    assert shown("@check('A', 'b')\ndef f():\n    '''x'''\n") == []


def test_every_mutant_compiles_and_leaves_the_tree_as_it_was():
    faults = Faults("m", SOURCE, "m.py")
    sound = faults.code(None)
    keys = [m.key for m in faults]
    assert len(set(keys)) == len(keys)
    for m in faults:
        assert faults.code(m) != sound
        assert faults.code(None) == sound


def run(code, **names):
    space = dict(names)
    exec(code, space)
    return space


def find(faults: Faults, rule: str, before: str) -> Mutant:
    return next(m for m in faults if (m.rule, m.before) == (rule, before))


def test_a_mutant_does_what_it_says():
    faults = Faults("m", SOURCE, "m.py")
    assert run(faults.code(None))["wide"](2, 2) is True  # 2 > 2 - 1e-6
    assert run(faults.code(find(faults, "sum", "b - 1e-06")))["wide"](2, 2) is False
    assert run(faults.code(None))["names"]([None, 1]) == "is 2 long"
    assert run(faults.code(find(faults, "loop", "continue")))["names"]([None, 1]) == "none"


def test_live_functions_take_the_fault():
    faults = Faults("m", SOURCE, "m.py")
    live = run(faults.code(None))
    held: FunctionType = live["wide"]
    faulty = faults.code(find(faults, "limit", "a < b"))
    assert warm.swap([held], faults.code(None), faulty)
    assert live["wide"](2, 2) is True
    assert not warm.swap([], faults.code(None), faulty)


def test_constants_move_wherever_they_are_held(monkeypatch):
    faults = Faults("mut_a", SOURCE, "mut_a.py")
    a, b = ModuleType("mut_a"), ModuleType("mut_b")
    exec(faults.code(None), vars(a))
    vars(b)["LIMIT_MM"] = vars(a)["LIMIT_MM"]
    monkeypatch.setitem(sys.modules, "mut_a", a)
    monkeypatch.setitem(sys.modules, "mut_b", b)
    assert constants.changes("mut_a", faults.code(find(faults, "limit", "a < b"))) == ()
    (change,) = constants.changes("mut_a", faults.code(find(faults, "value", "LIMIT_MM = 5.0")))
    change.make()
    assert (vars(a)["LIMIT_MM"], vars(b)["LIMIT_MM"]) == (6.0, 6.0)


def test_a_fresh_start_reads_the_faulty_code():
    faults = Faults("mut_c", SOURCE, "mut_c.py")
    finder = fresh.Faulty("mut_c", "mut_c.py", faults.code(find(faults, "value", "LIMIT_MM = 5.0")))
    assert finder.find_spec("other", None) is None
    spec = finder.find_spec("mut_c", None)
    module = ModuleType("mut_c")
    spec.loader.exec_module(module)
    assert vars(module)["LIMIT_MM"] == 6.0


def test_a_child_tells_its_end_and_is_ended_in_time():
    assert warm.forked(lambda: warm.SURVIVED, 10) == warm.SURVIVED
    assert warm.forked(lambda: warm.KILLED, 10) == warm.KILLED

    def fall() -> int:
        raise ValueError

    def hang() -> int:
        while True:
            pass

    assert warm.forked(fall, 10) == warm.KILLED
    assert warm.forked(hang, 1) < 0


def test_a_share_is_drawn_module_by_module_and_always_the_same():
    faults = [m for name in ("p", "q") for m in Faults(name, SOURCE, f"{name}.py")]
    some = choose(faults, 0.2)
    assert some == choose(faults, 0.2)
    each = len(faults) // 2
    assert [sum(m.module == n for m in some) for n in ("p", "q")] == [round(each * 0.2)] * 2
    assert choose(faults, 1.0) == faults


@pytest.mark.parametrize("part", sorted(PARTS))
def test_every_part_has_mutants_and_tests(part):
    assert all((PARTS[part].files()[m]).is_file() for m in PARTS[part].files())
    assert len(PARTS[part].files()) >= 9


def test_interval_of_a_sample():
    # Wilson 95 %: 81 of 263 give 0.255 to 0.366 (Newcombe 1998, example 1, method 3)
    assert report.interval(81, 263) == pytest.approx((0.2553, 0.3662), abs=5e-5)


def test_page_lists_survivors_by_reason():
    some = list(PARTS["sizing"].faults("sizing.flow")["stubout.sizing.flow"])[:3]

    def result(m: Mutant, fate: str) -> dict[str, object]:
        return {"key": m.key, "fate": fate, "module": m.module, "function": m.function, "lines": list(m.lines),
                "rule": m.rule, "before": m.before, "after": m.after, "nth": m.nth}  # fmt: skip

    results = [result(m, fate) for m, fate in zip(some, ("killed", "survived", "untested"), strict=True)]
    gone = {**result(some[0], "survived"), "key": "of code that is no more"}
    reasons = [{"before": f"^{re.escape(some[1].before)}$", "after": f"^{re.escape(some[1].after)}$",
                "nth": f"^{some[1].nth}$", "reason": "never equal"}]  # fmt: skip
    old = f"top\n{report.START}old{report.END}\nend\n"
    text = report.page(old, {"sizing": [*results, gone]}, reasons)
    assert text.startswith("top\n")
    assert text.endswith(report.END + "\nend\n")
    assert "old" not in text
    assert "| 3 | 1 | 2 | 33.3 % |" in text
    place = f"sizing.flow.{some[1].function}".rstrip(".")
    assert f"**Never equal** (1)\n\n- `{place}`: `{some[1].before}` → `{some[1].after}`" in text
    assert "**Open: a test is still missing** (1)" in text
    other = [{**reasons[0], "nth": f"^{some[1].nth + 1}$"}]
    assert "Never equal" not in report.page(old, {"sizing": results}, other)


def test_every_reason_speaks_of_parts_there_are():
    reasons = tomllib.loads(report.REASONS.read_text("utf-8"))["survivor"]
    modules = [m for p in PARTS.values() for m in p.files()]
    for r in reasons:
        assert set(r) - {"reason"} <= set(report.PATTERNS)
        assert any(re.search(r["module"], m) for m in modules), r
        if re.search("^(sizing|rulebooks)", r["module"]):  # a part run whole: nothing is excused that nobody looked at
            assert {"function", "before", "after"} & set(r), r


def test_sections_of_parts_without_results_stay():
    old = f"top\n{report.START}\n\n## Sizing\n\nold one\n\n## Checks\n\nold two\n\n{report.END}\nend\n"
    m = next(iter(PARTS["sizing"].faults("sizing.flow")["stubout.sizing.flow"]))
    one = {"key": m.key, "fate": "killed", "module": m.module, "function": m.function, "lines": list(m.lines)}
    text = report.page(old, {"sizing": [one]}, [])
    assert "old one" not in text
    assert text.index("## Sizing") < text.index("## Checks") < text.index("old two") < text.index(report.END)
    assert report.page(text, {}, []).count("old two") == 1
    kept = report.page(old, {}, [])
    assert "\n\nold one\n\n## Checks\n\nold two\n\n<!--" in kept
    assert report.page(kept, {}, []) == kept
