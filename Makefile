# `make demo` and `make test` set up all they need in .venv and then do their job.
PYTHON ?= python3
BIN := .venv/bin

# Hundreds of tests start this program or load it anew: compiled files may be kept, whatever the environment says.
export PYTHONDONTWRITEBYTECODE :=

.PHONY: demo test test-later faults lint docs site pictures samples bench clean

demo: .venv/ready
	$(BIN)/startroll demo

test: .venv/ready-to-test
	$(BIN)/python -m pytest --numprocesses auto --dist worksteal

# The suite again with the clock a day, a month and 400 days on (Debian: apt-get install faketime).
test-later: .venv/ready-to-test
	for days in 1 31 400; do \
	  faketime -f "+$${days}d" $(BIN)/python -m pytest --numprocesses auto --dist worksteal || exit 1; \
	done

# What tests/faults tries a few of, by thousands, with counts; half an hour of one core. FAULTS=0.1 is a tenth of them.
# In memory where there is a disk in memory: what is tried is the order of the writes, and not the disk.
FAULTS ?= 1
faults: .venv/ready-to-test
	STARTROLL_FAULTS=$(FAULTS) TMPDIR=$$([ -d /dev/shm ] && echo /dev/shm || echo /tmp) $(BIN)/python -m pytest tests/faults --numprocesses auto --dist worksteal

lint: .venv/ready
	$(BIN)/ruff check register tests benchmarks samples
	$(BIN)/ruff format --check register tests benchmarks samples
	$(BIN)/python -m pytest tests/test_types.py

docs: .venv/ready
	$(BIN)/python docs/write.py

# The docs as pages for a browser: build/site/index.html. A broken link or anchor is an error.
site: .venv/ready
	$(BIN)/python -m sphinx --fail-on-warning --keep-going --nitpicky --quiet docs build/site

pictures: .venv/ready
	$(BIN)/python docs/pictures.py
	$(BIN)/python docs/round_pictures.py

samples: .venv/ready
	$(BIN)/python samples/make.py

bench: .venv/ready
	for file in benchmarks/bench_*.py; do $(BIN)/python $$file; done

clean:
	rm -rf .venv build dist demo

.venv/ready: pyproject.toml
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --upgrade pip
	$(BIN)/python -m pip install --quiet --editable ".[dev]"
	touch $@

# What the tests compare with is large and brings pandas, which slows every command: only they install it.
.venv/ready-to-test: .venv/ready
	$(BIN)/python -m pip install --quiet --editable ".[dev,compare]"
	touch $@
