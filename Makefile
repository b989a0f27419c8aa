# Everything here sets itself up: `make demo` and `make test` need Python 3.11 and nothing else.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
AXE := axe-core@4.14.1
MICROPYTHON_WASM := @micropython/micropython-webassembly-pyscript@1.27.0
STUBS := micropython-rp2-stubs==1.29.0.post1

.PHONY: help setup setup-dev demo test lint unit bench screenshots campaign clean

help:
	@echo "make demo      one simulated run from paste to verdict, with a picture"
	@echo "make test      lint and every test"
	@echo "make lint      ruff, mypy, pyright, import-linter"
	@echo "make bench     print the measured figures"
	@echo "make screenshots  every page in a browser, as pictures"
	@echo "make campaign  the large counts, whole (up to 90 minutes)"
	@echo "make clean     remove .venv and caches"

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Heatwright needs Python 3.11 or newer; $(PYTHON) is $$($(PYTHON) --version). Set PYTHON=python3.11 and try again."; exit 1; }
	@$(PYTHON) -c 'import ensurepip' 2>/dev/null || \
	  { echo "This Python cannot make a virtual environment. On Debian: sudo apt-get install python3-venv"; exit 1; }
	$(PYTHON) -m venv $(VENV)

$(VENV)/.run: pyproject.toml | $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e .
	@touch $@

$(VENV)/.dev: pyproject.toml Makefile | $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[dev]'
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --upgrade --target $(VENV)/stubs $(STUBS) micropython-stdlib-stubs
	PATH="$(CURDIR)/$(BIN):$$PATH" $(BIN)/npm install --silent --no-fund --no-audit --prefix $(VENV)/npm $(MICROPYTHON_WASM) $(AXE)
	@touch $@ $(VENV)/.run

# The browser of the page's tests: installed for root, named for everybody else.
$(VENV)/.browser: | $(VENV)/bin/python
	@command -v chromium >/dev/null || { [ "$$(id -u)" = 0 ] && apt-get update -qq && apt-get install -y -qq chromium >/dev/null; } || \
	  echo "No chromium: the page's tests are skipped. On Debian: sudo apt-get install chromium"
	@command -v chromium >/dev/null && touch $@ || true

setup: $(VENV)/.run
setup-dev: $(VENV)/.dev

demo: setup
	$(BIN)/python -m heatwright demo --headless

lint: setup-dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/pyright --project firmware/pyrightconfig.json
	$(BIN)/lint-imports

unit: setup-dev $(VENV)/.browser
	$(BIN)/python -m pytest -n 2 --dist loadfile

test: lint unit

bench: setup-dev
	$(BIN)/python -m tests.benchmarks

screenshots: setup-dev $(VENV)/.browser
	$(BIN)/python tests/browser/screenshots.py screenshots

campaign: setup-dev
	$(BIN)/python -m pytest -m campaign --whole -n 2 --maxschedchunk 1 -rP

clean:
	rm -rf $(VENV) .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis
