# make demo     the whole job on the invented example car
# make test     style, types, arrows and tests
# make bench    what it costs
# make evidence every check against something outside, as docs/evidence.md
# make format   put the sources in order
# make clean    remove everything that make has made
#
# Needs make and Python 3.11 or newer, as python3 or as PYTHON=... on the command line.

PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check
SOURCES := src tests $(wildcard benchmarks)

.PHONY: demo test bench evidence format clean
.DEFAULT_GOAL := demo

demo: $(VENV)/installed
	$(BIN)/cornerwright demo --out out/demo

test: $(VENV)/installed-dev
	$(BIN)/ruff check $(SOURCES)
	$(BIN)/ruff format --check $(SOURCES)
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/pytest -n auto -p no:benchmark

bench: $(VENV)/installed-dev
	$(BIN)/pytest benchmarks/bench_*.py --benchmark-only

evidence: $(VENV)/installed-dev
	$(BIN)/pytest tests/outside -n auto -p no:benchmark --evidence docs/evidence.md

format: $(VENV)/installed-dev
	$(BIN)/ruff check --fix $(SOURCES)
	$(BIN)/ruff format $(SOURCES)

clean:
	rm -rf $(VENV) out build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis \
		.benchmarks .import_linter_cache
	find src tests -name __pycache__ -type d -prune -exec rm -rf {} +

# The stamps are newer than pyproject.toml once what it asks for is installed.
$(VENV)/installed: pyproject.toml | $(BIN)/python
	@echo "installing cornerwright into $(VENV)"
	@$(PIP) --editable .
	@touch $@

$(VENV)/installed-dev: pyproject.toml | $(BIN)/python
	@echo "installing cornerwright and its test tools into $(VENV)"
	@$(PIP) --editable '.[dev]'
	@touch $@ $(VENV)/installed

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
		echo "cornerwright needs Python 3.11 or newer; '$(PYTHON)' is not." \
			"Install one and run: make PYTHON=python3.12 $(MAKECMDGOALS)" >&2; exit 1; }
	@$(PYTHON) -m venv $(VENV) || { rm -rf $(VENV); \
		echo "'$(PYTHON)' could not make a virtual environment: install its venv module" \
			"(Debian, Ubuntu: the package python3-venv)." >&2; exit 1; }
