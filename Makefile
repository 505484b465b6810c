# One command for all gates: make check. The same steps run in .ci/run.
BIN ?= .venv/bin/

.PHONY: setup demo check format lint types imports test docs labels bench
setup:
	python3 -m venv .venv && .venv/bin/pip install -e ".[test]"
demo:
	$(BIN)stubout demo -o packet-demo
check: format lint types imports test
format:
	$(BIN)ruff format --check .
lint:
	$(BIN)ruff check .
types:
	$(BIN)mypy
imports:
	$(BIN)lint-imports
test:
	$(BIN)python -m pytest
docs:
	$(BIN)python docs/generate.py
labels:
	$(BIN)python tools/catalogues.py
bench:
	$(BIN)python benchmarks/run.py
