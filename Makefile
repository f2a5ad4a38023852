# Every target does its own set-up: all it needs is Python 3.11, 3.12 or 3.13 and make.
#
#   make demo    install, then prime the demo scene and show how to undo it
#   make test    run all tests, on every core
#   make lint    ruff, mypy, import order, spelling
#   make docs    check that the documentation is whole and true
#   make site    build the documentation as a site, in build/site
#   make bench   run the benchmarks (BENCH_SIZE=small for a quick look)
#   make lock    write the pinned requirements anew
#   make clean   remove what make made
#
# PYTHON=python3.12 chooses the interpreter, DEMO=folder where the demo scene goes,
# PYTEST_FLAGS and BENCH_FLAGS are passed on.

PYTHON ?= python3
DEMO ?= demo-scene
BENCH_SIZE ?= full

BIN := .venv/bin
LOCK := $(BIN)/uv pip compile --quiet --universal --python-version 3.11 --fork-strategy fewest \
	--generate-hashes --custom-compile-command "make lock"

# Bytecode is kept whatever is set outside: tests start hundreds of processes, and each would
# compile all sources anew; `make clean` removes it.
unexport PYTHONDONTWRITEBYTECODE

# Packages come as wheels whose hashes are written down; nothing is compiled.
PIP_INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check

# Run one primecoat command. Exit code 1 means "done, but the scene is not ready", which is so for
# a demo with planted faults; everything above is a failure.
SHOW = printf '\n$$ primecoat %s\n' '$(1)'; $(BIN)/primecoat $(1) || { code=$$?; [ $$code -eq 1 ] || exit $$code; }

.PHONY: demo test lint docs site bench lock clean
.DEFAULT_GOAL := test

demo: .venv/.runtime
	@if [ -e '$(DEMO)/truth.json' ]; then echo 'The demo scene is there already: $(DEMO)'; \
	else mkdir -p '$(DEMO)' && printf '$$ primecoat demo $(DEMO)\n' && $(BIN)/primecoat demo '$(DEMO)'; fi
	@$(call SHOW,survey $(DEMO)/tea.gltf)
	@$(call SHOW,plan $(DEMO)/tea.gltf --route tag --out $(DEMO)/plan.json)
	@$(call SHOW,apply $(DEMO)/plan.json)
	@$(call SHOW,gate $(DEMO)/tea.primed.gltf)
	@printf '\nTake it back with: %s\n' '$(BIN)/primecoat undo $(DEMO)/tea.gltf'
	@printf 'To type primecoat as it stands above, once in this terminal: %s\n' '. $(BIN)/activate'

test: .venv/.dev
	$(BIN)/python -m pytest --numprocesses logical --dist worksteal $(PYTEST_FLAGS)

lint: .venv/.dev
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo --no-cache
	$(BIN)/codespell

docs: .venv/.dev
	$(BIN)/python -m pytest tests/docs $(PYTEST_FLAGS)

site: .venv/.dev
	$(BIN)/python -m sphinx --fail-on-warning --quiet -d build/trees docs build/site
	@echo 'Open build/site/index.html'

bench: .venv/.dev
	@set -e; for file in benchmarks/[a-z]*.py; do \
		[ -e "$$file" ] || { echo 'There is no benchmark yet.'; break; }; \
		echo "$$file --size $(BENCH_SIZE)"; \
		$(BIN)/python "$$file" --size $(BENCH_SIZE) $(BENCH_FLAGS); \
	done

# dev.txt is solved first; the smaller two may only hold what it holds.
lock: .venv/.dev
	$(LOCK) --upgrade requirements/dev.in --output-file requirements/dev.txt
	$(LOCK) --upgrade requirements/runtime.in --constraints requirements/dev.txt --output-file requirements/runtime.txt
	$(LOCK) --upgrade requirements/build.in --constraints requirements/dev.txt --output-file requirements/build.txt

clean:
	rm -rf .venv build dist .hypothesis .import_linter_cache .mypy_cache .pytest_cache .ruff_cache
	find benchmarks evaluation examples src tests tools -name __pycache__ -prune -exec rm -rf {} +
	if [ -e '$(DEMO)/truth.json' ]; then rm -rf '$(DEMO)'; fi

.venv/.runtime: requirements/runtime.txt requirements/build.txt pyproject.toml | .venv/bin/python
	@echo 'Installing what Primecoat needs into .venv; this takes a while ...'
	$(PIP_INSTALL) --only-binary=:all: --require-hashes -r requirements/runtime.txt -r requirements/build.txt
	$(PIP_INSTALL) --no-deps --no-build-isolation --editable .
	@touch $@

.venv/.dev: requirements/dev.txt pyproject.toml | .venv/bin/python
	@echo 'Installing what Primecoat and its tests need into .venv; this takes a while ...'
	$(PIP_INSTALL) --only-binary=:all: --require-hashes -r requirements/dev.txt
	$(PIP_INSTALL) --no-deps --no-build-isolation --editable .
	@touch $@

.venv/bin/python:
	@command -v '$(PYTHON)' >/dev/null || { echo 'There is no $(PYTHON) here: name a Python 3.11, 3.12 or 3.13, as in make PYTHON=python3.12' >&2; exit 2; }
	@'$(PYTHON)' -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 13))' || { \
		echo "Primecoat needs Python 3.11, 3.12 or 3.13, and $(PYTHON) is $$('$(PYTHON)' --version 2>&1): name another, as in make PYTHON=python3.12" >&2; exit 2; }
	'$(PYTHON)' -m venv .venv || { rm -rf .venv; echo '$(PYTHON) cannot make an environment: install its venv module (on Debian the package python3-venv)' >&2; exit 2; }
