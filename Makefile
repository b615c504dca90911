# Every target sets up what it needs; `make help` lists them.

VENV ?= .venv
PY := $(VENV)/bin/python
# Bytecode is made when a module is first read: most of what is installed never is.
PIP := $(PY) -m pip install --quiet --no-compile --require-hashes --no-deps
export PYTHONDONTWRITEBYTECODE :=
PORT ?= 8000
HOST ?= 127.0.0.1
# One more than there are cores: journeys wait for a browser and for the clock.
WORKERS ?= $(shell expr $$(getconf _NPROCESSORS_ONLN) + 1)
# Stands in codes, papers and documents; a host that listens everywhere has no name of its own.
SITE_URL ?= http://$(if $(filter 127.0.0.1 0.0.0.0,$(HOST)),localhost,$(HOST)):$(PORT)
DEMO_URL := sqlite:///$(CURDIR)/.demo/workshop.sqlite3
DEMO := WORKSHOP_NAME="Demo workshop (invented)" WORKSHOP_PLACE="Invented town, by the river" \
	WORKSHOP_RETURNS="Hang it on the hook beside the workshop's door, or bring it while the door is open; no bill is needed. (Invented.)" \
	MEDIA_ROOT=$(CURDIR)/.demo/media DATABASE_URL=$(DEMO_URL) SITE_URL=$(SITE_URL)

.DEFAULT_GOAL := help
.PHONY: help demo demo-data test lint words bench bench-ledger taps histories lock clean

help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | expand -t 14

$(VENV)/.runtime: requirements.lock
	test -x $(PY) || python3 -m venv $(VENV)
	$(PIP) -r requirements.lock
	touch $@

$(VENV)/.dev: requirements-dev.lock
	test -x $(PY) || python3 -m venv $(VENV)
	$(PIP) -r requirements-dev.lock
	touch $@ $(VENV)/.runtime

demo-data: $(VENV)/.runtime ## build the invented demo workshop, unless it is there already
	@mkdir -p .demo
	@$(DEMO) $(PY) manage.py migrate --verbosity 0
	@$(DEMO) $(PY) manage.py build_demo --follow-address

demo: demo-data ## build and serve the demo: make demo PORT=8123 HOST=0.0.0.0
	@$(PY) manage.py collectstatic --noinput --verbosity 0
	@echo "Open http://$(HOST):$(PORT)/ and log in as operator, lead or auditor (password: invented-demo)."
	@echo "A shared tablet logs in as bench with the same password; invented PINs there: operator 4071, lead 639417."
	@$(DEMO) ALLOWED_HOSTS="*" $(VENV)/bin/waitress-serve --listen=$(HOST):$(PORT) --threads=8 workshop.wsgi:application

test: $(VENV)/.dev ## run every test and gate (DATABASE_URL chooses the database)
	@test -n "$(NO_BROWSER)" || ls /usr/bin/chromium /usr/bin/chromium-headless-shell >/dev/null 2>&1 || bash .ci/install-browser
	$(PY) -m pytest -n $(WORKERS) --dist loadgroup -q $(ARGS)

lint: $(VENV)/.dev ## check style, imports, templates
	$(VENV)/bin/ruff format --check .
	$(VENV)/bin/ruff check .
	$(VENV)/bin/lint-imports
	$(VENV)/bin/djlint templates --lint --quiet

words: $(VENV)/.runtime ## collect the words to translate and compile what is translated: make words LOCALE=de
	@command -v xgettext >/dev/null && command -v msgmerge >/dev/null || { echo "xgettext is missing: install the package gettext"; exit 1; }
	@test -n "$(LOCALE)" || { echo "Name a language: make words LOCALE=de"; exit 1; }
	@mkdir -p locale
	$(PY) manage.py makemessages --locale $(LOCALE) --ignore $(VENV) --ignore build --ignore staticfiles --ignore tests --no-location
	$(PY) manage.py compile_words

bench: $(VENV)/.dev ## measure 1,000 labels, then a ledger of a million transfers on SQLite and PostgreSQL
	$(PY) -m tests.benchmarks.labels; labels=$$?; $(PY) -m tests.benchmarks.run $(ARGS) && exit $$labels

bench-ledger: $(VENV)/.dev ## measure parts of it: make bench-ledger ARGS="--size 5000000 --only traces --reuse"
	$(PY) -m tests.benchmarks.run $(ARGS)

taps: $(VENV)/.dev ## count taps and seconds of each act at a slow tablet
	$(PY) -m tests.benchmarks.taps

histories: $(VENV)/.dev ## try many more random histories of the ledger, and inputs of the calculations
	HISTORIES=400 EXAMPLES=400 $(PY) -m pytest -q tests/journeys/test_ledger_histories.py tests/*/calculations

lock: $(VENV)/.dev ## renew the lock files from pyproject.toml
	$(PY) -m pip install --quiet uv
	$(VENV)/bin/uv pip compile --universal --generate-hashes --no-header --no-config --python-version 3.11 pyproject.toml -o requirements.lock
	$(VENV)/bin/uv pip compile --universal --generate-hashes --no-header --no-config --python-version 3.11 --extra dev pyproject.toml -o requirements-dev.lock

clean: ## remove what was built, the demo included
	rm -rf $(VENV) .demo build staticfiles .pytest_cache .hypothesis .ruff_cache .mypy_cache .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
