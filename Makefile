# Everything is run from here; 'make help' tells what there is.
# Written for make 3.81 and later and for any POSIX shell. Paths are relative, so that the checkout may lie in
# a folder with blanks in its name.

PYTHON ?= python3
ARGS =

BIN = .venv/bin

# $(call environment,WHAT,STAMP): an environment in .venv with WHAT installed as the constraints say.
#
# .venv/.place     where it was made: an environment can't be moved, and a copied one would run the original
# .venv/.STAMP     checksum of what was asked for; a file that was only touched installs nothing
# .venv/.unfinished  stays behind when something was interrupted: pip may take a half-installed package for a
#                  whole one, so the environment is then made anew
define environment
@set -e; \
fail() { echo "make: $$1" >&2; exit 1; }; \
reuse=no; \
if test -f .venv/.place && test ! -e .venv/.unfinished \
    && test "$$(cat .venv/.place)" = "$$(pwd -P)" && $(BIN)/python -c '' 2>/dev/null; then reuse=yes; fi; \
ask='import sys; print(sys.version)'; \
if test $$reuse = yes && test "$(origin PYTHON)" != file \
    && test "$$("$(PYTHON)" -c "$$ask" 2>/dev/null)" != "$$($(BIN)/python -c "$$ask")"; then reuse=no; fi; \
if test $$reuse = no; then \
    other="or say where one is: make PYTHON=python3.12 ..."; \
    command -v "$(PYTHON)" >/dev/null \
        || fail "'$(PYTHON)' was not found. Install Python 3.11 or newer, $$other"; \
    "$(PYTHON)" -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
        || fail "'$(PYTHON)' is $$("$(PYTHON)" -V 2>&1). Install Python 3.11 or newer, $$other"; \
    "$(PYTHON)" -c 'import ensurepip, venv' 2>/dev/null \
        || fail "'$(PYTHON)' comes without its venv module.\
 On Debian and Ubuntu it is a package of its own: sudo apt-get install python3-venv"; \
    echo "Making an environment in .venv with $$("$(PYTHON)" -V 2>&1)"; \
    rm -rf .venv; mkdir .venv; : >.venv/.unfinished; \
    "$(PYTHON)" -m venv .venv; \
    pwd -P >.venv/.place; \
fi; \
sum=$$(cat pyproject.toml constraints.txt | cksum); \
if test "$$(cat .venv/.$(2) 2>/dev/null)" != "$$sum"; then \
    echo "Installing into .venv; the first time this downloads some 450 MB"; \
    : >.venv/.unfinished; \
    $(BIN)/python -m pip install --disable-pip-version-check -c constraints.txt -e '$(1)'; \
    $(BIN)/python -m compileall -q locksweep parts solver; \
    echo "$$sum" >.venv/.runtime; \
    echo "$$sum" >.venv/.$(2); \
fi; \
rm -f .venv/.unfinished
endef

.PHONY: help demo test check format wheel bench picture bundle clean runtime dev
# Two targets at once would install into the same environment.
.NOTPARALLEL:

help:
	@echo "make demo     build the demo jobs into output/"
	@echo "make test     run all tests; ARGS='-k spacer' is handed on to pytest"
	@echo "make check    formatter, linter, types, and the import rule between the rooms"
	@echo "make format   let the formatter and the linter repair what they can"
	@echo "make wheel    build the wheel into dist/"
	@echo "make bench    run the benchmarks and print their table"
	@echo "make picture  draw the parts of a demo job for the README"
	@echo "make bundle   make the report's code anew from web/; needs npm"
	@echo "make clean    delete the environment, caches and dist/; output/ is left alone"
	@echo
	@echo "Each makes or updates its own environment in .venv first."
	@echo "PYTHON=python3.12 chooses the Python for it."

demo: runtime
	$(BIN)/locksweep demo --out output

test: dev
	$(BIN)/python -m pytest -n auto --maxprocesses=4 --dist=worksteal $(ARGS)

check: dev
	$(BIN)/python -m ruff format --check .
	$(BIN)/python -m ruff check .
	$(BIN)/python -m mypy
	$(BIN)/lint-imports --no-logo

format: dev
	$(BIN)/python -m ruff check --fix-only .
	$(BIN)/python -m ruff format .

wheel: dev
	$(BIN)/python -m build --wheel --no-isolation

bench: dev
	$(BIN)/python -m benchmarks $(ARGS)

picture: runtime
	$(BIN)/locksweep render configs/alder-coupe.toml --out docs/pictures
	mv docs/pictures/*/set.png docs/set.png && rm -r docs/pictures

bundle:
	cd web && npm ci && npm run bundle

clean:
	rm -rf .venv web/node_modules dist build .hypothesis .import_linter_cache .mypy_cache .pytest_cache .ruff_cache
	find solver parts locksweep tests -name __pycache__ -prune -exec rm -rf {} +

runtime:
	$(call environment,.,runtime)

dev:
	$(call environment,.[dev],dev)
