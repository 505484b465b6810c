"""The documentation is complete and the generated parts are new."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest
import typer.main
from laid_out import design_named

from stubout import run
from stubout.checks.registry import CHECKS
from stubout.cli.exits import Exit
from stubout.cli.main import app
from stubout.export.json_ import design_data, findings_data
from stubout.files.books import book_ids
from stubout.problems import Level, Status

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"


def page(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def generator() -> ModuleType:
    spec = importlib.util.spec_from_file_location("generate_docs", DOCS / "generate.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_generated_parts_are_new(generator: ModuleType) -> None:
    for name in generator.PARTS:
        assert generator.generated(name) == page(name), f"{name} has fallen behind: make docs"


def _verbs() -> list[tuple[str, list[str]]]:
    root = typer.main.get_command(app)
    found: list[tuple[str, list[str]]] = []
    for name, command in root.commands.items():  # type: ignore[attr-defined]
        found.append((name, [o for p in command.params for o in p.opts if o.startswith("--")]))
        for sub, inner in getattr(command, "commands", {}).items():
            found.append((f"{name} {sub}", [o for p in inner.params for o in p.opts if o.startswith("--")]))
    return found


@pytest.mark.parametrize(("verb", "options"), _verbs())
def test_every_verb_is_described(verb: str, options: list[str]) -> None:
    text = page("commands.md")
    assert f"`stubout {verb}" in text
    for option in options:
        if option not in ("--help", "--json", "--quiet"):
            assert f"`{option}`" in text, f"{verb} {option}"


def test_every_exit_code_is_described() -> None:
    text = page("exit-codes.md")
    for code in Exit:
        assert f"| {code.value} | {code.name} |" in text
    assert len(re.findall(r"^\| \d \|", text, re.MULTILINE)) == len(Exit)


def test_every_check_book_level_and_status_is_described() -> None:
    checks, books = page("checks.md"), page("books.md")
    for c in CHECKS:
        assert f"| [{c.id}](checks/{c.id}.md) | {c.name} |" in checks
    for book_id in book_ids():
        assert f"| [{book_id}](books/{book_id}.md) |" in books
    for level in Level:
        assert f"| {level.value} |" in checks
    for status in Status:
        assert f"| {status.value} |" in books


def _commands(text: str) -> list[str]:
    return [
        line for block in re.findall(r"```\n(.*?)```", text, re.DOTALL) for line in block.splitlines() if line.strip()
    ]


def test_readme_has_two_commands_and_ci_runs_both() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    section = readme.split("## Two commands")[1].split("\n## ")[0]
    commands = _commands(section)
    assert len(commands) == 2
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    for command in commands:
        for part in command.split(" && "):
            wanted = re.sub(r"\s+", " ", part.replace("--quiet ", "")).strip()
            assert wanted in ci.replace("--quiet ", ""), wanted


def test_readme_commands_are_real_verbs() -> None:
    verbs = {verb for verb, _ in _verbs()}
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for line in _commands(readme):
        for words in re.findall(r"bin/stubout (.*)", line):
            assert any(words.startswith(v) for v in verbs), words


def test_links_lead_to_files() -> None:
    for name in ("README.md", "CONTRIBUTING.md", *(f"docs/{p.name}" for p in DOCS.glob("*.md"))):
        text = (ROOT / name).read_text(encoding="utf-8")
        for said in re.findall(r"`((?:docs|src|tests|examples|benchmarks)/[\w./-]+)`", text):
            assert (ROOT / said).exists(), f"{name} names {said}"


def test_no_addresses_and_no_machine_paths() -> None:
    texts = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", ROOT / "CHANGELOG.md", *DOCS.glob("*.md")]
    for path in texts:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"https?:|www\.", text), path.name
        assert not re.search(r"(^|[^a-z.])/(work|tmp|home)/", text), path.name


def test_every_key_of_the_data_files_is_described() -> None:
    design = design_named("demo")
    verdict = run.check(design)
    text = page("design-json.md")
    for data in (design_data, findings_data):
        for key in data(design, verdict.findings, verdict.not_checked):
            assert f"`{key}`" in text, key


def test_every_file_of_a_plan_is_described() -> None:
    design = design_named("demo")
    files = run.outputs(design, run.check(design))
    text = page("commands.md")
    for name in files:
        folder, _, rest = name.rpartition("/")
        said = f"`{folder}/*.{rest.rsplit('.', 1)[-1]}`" if folder else f"`{name}`"
        assert said in text, name
