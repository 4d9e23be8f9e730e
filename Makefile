# Fairlead's front door. Needs make and Python 3.11 or newer; everything else goes into .venv.

SHELL := /bin/sh
.DEFAULT_GOAL := help
.DELETE_ON_ERROR:

VENV := .venv
BIN := $(VENV)/bin
INSTALLED := $(VENV)/.installed
# npm starts "node" by name: the project's own must come first, whatever else the machine has.
NPM := PATH="$(CURDIR)/$(BIN):$$PATH" npm --prefix web
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet

# The first interpreter that is new enough; `make PYTHON=/path/to/python ...` overrules it.
PYTHON ?= $(shell for p in python3.11 python3.12 python3.13 python3.14 python3; do \
	$$p -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1 && { echo $$p; break; }; \
	done)

.PHONY: help
help: ## show this list
	@echo "Fairlead: coaching by phone clip for golf."
	@echo
	@sed -n 's/^\([a-z-]*\):.*## \(.*\)/  make \1|\2/p' $(MAKEFILE_LIST) | awk -F'|' '{printf "%-20s %s\n", $$1, $$2}'
	@echo
	@echo "Start with: make demo"

.PHONY: demo
demo: install ## an invented academy with processed clips, running; Ctrl-C stops it
	@exec $(BIN)/fairlead demo

.PHONY: up
up: install ## the service without the invented academy; Ctrl-C stops it
	@exec $(BIN)/fairlead up

.PHONY: test
test: install ## every test a change must pass
# A file's tests stay together: what a module starts (a service, a film) is started once. In the tree's order,
# which begins with the longest files, and not by how many tests a file has.
	@$(BIN)/python -m pytest -n auto --dist loadfile --no-loadscope-reorder

.PHONY: check
check: install ## style, types and import rules, Python and pages
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(NPM) run --silent check
	$(NPM) run --silent test

.PHONY: accuracy
accuracy: install ## how far instants and readings are from the truth: var/accuracy/report.html (QUICK=1 KEEP=1 SEEN=1)
	@$(BIN)/python -m tests.accuracy $(if $(QUICK),--quick) $(if $(KEEP),--keep) $(if $(SEEN),--seen) \
		$(if $(STRANGERS),--strangers $(STRANGERS)) $(if $(AGAINST),--against $(AGAINST))

.PHONY: calibrate
calibrate: install ## fit the spreads that no error term explains: worker/measure/residuals.json (some 40 minutes)
	@$(BIN)/python -m tests.calibration

.PHONY: bench
bench: install ## time and memory of measuring beside decoding alone: var/bench/bench.json
	@$(BIN)/python -m tests.bench

.PHONY: bench-frames
bench-frames: install ## 3,000 random frames asked of the desk's player in Chromium, read back off the picture
	@$(BIN)/python -m tests.browser.frames
.PHONY: bench-drag
bench-drag: install ## whether the angle follows a dragged point within one display frame: var/bench/dragging.json
	@$(BIN)/python -m tests.browser.dragging
.PHONY: bench-hurried
bench-hurried: install ## a hurried coach's keys, clicks, taps and seconds for three reviews of the demo: var/bench/hurried.json
	@$(BIN)/python -m tests.browser.hurried
.PHONY: bench-queue
bench-queue: install ## a queue of 10,000 waiting: the server's questions and the page's frames: var/bench/queue.json
	@$(BIN)/python -m tests.bench.queue_times

.PHONY: accuracy-table
accuracy-table: install ## README's accuracy table, from the report that is kept in git
	@$(BIN)/python -m tests.accuracy --readme

.PHONY: screenshots
screenshots: install ## pictures of the pages, from a running demo, for the README
	@$(BIN)/python -m tests.browser.screenshots

.PHONY: install
install: $(INSTALLED) ## put everything into .venv and build the pages, if anything changed
	@$(BIN)/python web/build_hook.py

$(INSTALLED): requirements.lock pyproject.toml
	@test -n "$(PYTHON)" || { echo "Fairlead needs Python 3.11 or newer, and found none."; \
		echo "On Debian or Ubuntu: apt-get install python3.11 python3.11-venv"; exit 1; }
	@test -x $(BIN)/python || $(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || { \
		echo "$(PYTHON) cannot make virtual environments."; \
		echo "On Debian or Ubuntu: apt-get install $$($(PYTHON) -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])')"; exit 1; }
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	@echo "Installing what Fairlead needs into $(VENV): about a minute ..."
	@$(PIP) install --require-hashes --no-deps --requirement requirements.lock
	@$(BIN)/python web/build_hook.py
	@$(PIP) install --no-deps --no-build-isolation --editable .
	@touch $@

.PHONY: pages
pages: install ## the pages' development server; the API comes from make up, in another terminal
	@$(NPM) run dev

.PHONY: openapi
openapi: install ## after a change of the HTTP surface: its description and the pages' types
	@$(BIN)/python -m api.http.openapi > web/openapi.json
	@$(NPM) run --silent types

# Made with the oldest Python that must work (Debian 12's 3.11.2): newer ones need fewer packages.
.PHONY: lock
lock: ## after a change of dependencies: requirements.lock and web/package-lock.json
	@rm -rf var/lock && $(PYTHON) -m venv var/lock && var/lock/bin/pip install --quiet pip-tools
	@env -u PIP_FIND_LINKS -u PIP_EXTRA_INDEX_URL PIP_CONFIG_FILE=/dev/null var/lock/bin/pip-compile \
		--quiet --extra dev --extra studio --generate-hashes --strip-extras --allow-unsafe --no-header --no-annotate \
		--no-emit-index-url --no-emit-find-links --no-emit-trusted-host \
		--output-file requirements.lock pyproject.toml
	@$(NPM) install --package-lock-only
	@$(BIN)/python -m tests.checks.plain_lock
	@rm -rf var/lock

.PHONY: clean
clean: ## remove what was built; the data in var/ stays
	@rm -rf $(VENV) web/node_modules web/dist worker/body/weights .mypy_cache .ruff_cache .pytest_cache .import_linter_cache
