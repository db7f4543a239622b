# make demo     the whole job on the invented example car; the app is left open with its book
# make test     style, types, arrows and tests
# make bench    what it costs
# make evidence every check against something outside, as docs/evidence.md
# make docs     the pages as a site in out/site, without a network
# make dist     wheel and sdist, and the wheel tried in an environment of its own
# make fuzz     100,000 damaged files of every kind (FUZZ=... for another number): an hour or two
# make mutants  slips put into the code, and whether the tests notice (MUTANTS=... how many): an hour or two
# make format   put the sources in order
# make clean    remove everything that make has made
#
# Needs make and Python 3.11 or newer, as python3 or as PYTHON=... on the command line.

PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check
SOURCES := src tests $(wildcard benchmarks)

FUZZ ?= 100000
MUTANTS ?= 200

.PHONY: demo test browser bench evidence docs dist fuzz mutants format clean
.DEFAULT_GOAL := demo

demo: $(VENV)/installed
	$(BIN)/cornerwright demo --out out/demo --app

test: $(VENV)/installed-dev browser
	$(BIN)/ruff check $(SOURCES)
	$(BIN)/ruff format --check $(SOURCES)
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/pytest -n auto -p no:benchmark

# The app is tested in Debian's Chromium: installed where we may, else the tests say what is missing.
browser:
	@command -v chromium >/dev/null || command -v chromium-browser >/dev/null || { \
		[ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && \
		echo "installing Chromium from Debian's packages" && \
		apt-get update -q >&2 && \
		DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends chromium >&2; } || \
		echo "No Chromium: the app is not tested in a browser. To have it: apt-get install chromium" >&2

bench: $(VENV)/installed-dev
	$(BIN)/pytest benchmarks/bench_*.py --benchmark-only

evidence: $(VENV)/installed-dev
	$(BIN)/pytest tests/outside -n auto -p no:benchmark --evidence docs/evidence.md

docs: $(VENV)/installed-dev
	$(BIN)/mkdocs build --strict --quiet
	@echo "open out/site/index.html; to search it too: $(PYTHON) -m http.server --bind 127.0.0.1 --directory out/site"

dist: $(VENV)/installed-dev
	rm -rf dist out/clean
	$(BIN)/python -m hatchling build
	$(PYTHON) -m venv out/clean
	out/clean/bin/python -m pip install --quiet --disable-pip-version-check dist/*.whl
	cd out && clean/bin/cornerwright --version && clean/bin/cornerwright demo --out clean/demo >/dev/null
	@echo "dist/ holds what was tried"

fuzz: $(VENV)/installed-dev
	CORNERWRIGHT_FUZZ=$(FUZZ) $(BIN)/pytest -p no:benchmark -n 0 --tb=short tests/fuzz

mutants: $(VENV)/installed-dev
	$(BIN)/python tests/mutants.py --sample $(MUTANTS)

format: $(VENV)/installed-dev
	$(BIN)/ruff check --fix $(SOURCES)
	$(BIN)/ruff format $(SOURCES)

clean:
	rm -rf $(VENV) out build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis \
		.benchmarks .import_linter_cache mutants
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
