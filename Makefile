# Two commands: "make run" and "make test". Everything else is for contributors (DEVELOPERS.md).
PORT ?= 8000
export PORT
PY = .venv/bin/python
# what is compiled once is kept, whatever this machine says: the tests start some hundred processes
export PYTHONDONTWRITEBYTECODE =

.PHONY: run demo test prove check migrations pins bench pictures backup demo-reset

# Ctrl-C stops the web server and the worker
run:
	@sh .ci/setup run
	@exec $(PY) manage.py run

# the same with the demo in an empty database, and nothing asked
demo:
	@sh .ci/setup run
	@DEMO=True exec $(PY) manage.py run

# make test ARGS="tests/pour -k cure" runs some of them. All of them are shared by four processes, a file at a time:
# one has those that wait more than they work (tests/conftest.py), and the browser's wait too.
test:
	@sh .ci/setup test
	@CHROMIUM="$$(cat .venv/browser)" exec $(PY) -m pytest $(or $(ARGS),-n 4 --dist loadfile)

# What takes too long for every time, by its marks: random actions at the gates and bad input to the full depth, every
# paper of the demo printed and read, every migration from zero, many at once on both databases, servers killed at any
# moment; then slow senders to a server without a proxy, and fifty phones on bad lines to one that is killed.
prove:
	@sh .ci/setup test
	@$(PY) -m pytest --hypothesis-profile=prove -n 2 --dist load -m "prove or deep"
	@$(PY) tests/bench/slow_senders.py
	@$(PY) tests/bench/phones.py

check:
	@sh .ci/setup test
	$(PY) -m ruff check .
	$(PY) -m ruff format --check .
	.venv/bin/djangofmt --quiet --check templates
	.venv/bin/djangofmt check --quiet templates
	.venv/bin/oxfmt --config .ci/oxfmt.json --check "static/installs/*.js"
	.venv/bin/oxlint --config .ci/oxlint.json --deny-warnings static/installs
	@echo $(PY) -m mypy
	@folder=$$(mktemp -d) && VAR_DIR=$$folder $(PY) -m mypy; found=$$?; rm -rf "$$folder"; exit $$found
	$(PY) manage.py makemigrations --check --dry-run
	PRODUCTION=True ALLOWED_HOSTS=jobs.example.com \
	  SECRET_KEY=$$($(PY) -c 'import secrets; print(secrets.token_urlsafe(60))') \
	  $(PY) manage.py check --deploy --fail-level WARNING

# A migration that has landed is never rewritten: databases stand on it. NAME=words names the new one.
migrations:
	@sh .ci/setup test
	$(PY) manage.py makemigrations $(if $(NAME),--name $(NAME)) installs crew

pins:
	@sh .ci/setup test
	$(PY) -m piptools compile $(PINNING) -o requirements.txt pyproject.toml
	$(PY) -m piptools compile $(PINNING) --extra firm -c requirements.txt -o .ci/requirements-firm.txt pyproject.toml
	$(PY) -m piptools compile $(PINNING) --extra firm --extra test -c .ci/requirements-firm.txt -o .ci/requirements-test.txt pyproject.toml
PINNING = --quiet --generate-hashes --allow-unsafe --strip-extras --no-header --no-emit-index-url --no-emit-trusted-host --no-emit-find-links

bench:
	@sh .ci/setup test
	@$(PY) tests/bench/ratios.py
	@echo && $(PY) tests/bench/logger.py
	@echo && $(PY) tests/bench/pad_review.py
	@echo && $(PY) tests/bench/plans.py
	@echo && $(PY) tests/bench/memory.py
	@echo && $(PY) tests/bench/phones.py
	@echo && CHROMIUM="$$(cat .venv/browser)" $(PY) tests/bench/first_paint.py

pictures:
	@sh .ci/setup test
	@CHROMIUM="$$(cat .venv/browser)" exec $(PY) manage.py pictures

# everything in one file under var/backups: copy it to another machine
backup:
	@sh .ci/setup run
	@exec $(PY) manage.py backup

demo-reset:
	@sh .ci/setup run
	@$(PY) manage.py migrate --no-input --verbosity 0
	@exec $(PY) manage.py demo --reset
