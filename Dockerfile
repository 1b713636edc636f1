# The image of web and worker: see docker-compose.yml.
FROM python:3.11-slim-bookworm

RUN apt-get update \
    && apt-get install -y --no-install-recommends \
        libpango-1.0-0 libharfbuzz0b libpangoft2-1.0-0 libharfbuzz-subset0 \
    && rm -rf /var/lib/apt/lists/* \
    && useradd --system --uid 10001 --no-create-home --home-dir /app mastwright

WORKDIR /app
ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 VAR_DIR=/app/var STATIC_ROOT=/app/collected

# large blocks (open pictures) go back to the system when they are let go of, whichever thread had them
ENV MALLOC_MMAP_THRESHOLD_=500000
ENV MALLOC_ARENA_MAX=2

COPY .ci/requirements-firm.txt .
RUN pip install --no-cache-dir --disable-pip-version-check -r requirements-firm.txt

COPY manage.py ./
COPY sitecalc sitecalc
COPY installs installs
COPY crew crew
COPY templates templates
COPY static static

# The key is for this one command and stays in no layer; var/ is what the running system writes to.
RUN python -m compileall -q sitecalc installs crew \
    && PRODUCTION=True ALLOWED_HOSTS=image SECRET_KEY="$(head -c 48 /dev/urandom | base64)" VAR_DIR=/tmp/build \
        python manage.py collectstatic --noinput --verbosity 0 \
    && rm -rf /tmp/build \
    && mkdir var && chown mastwright var

USER mastwright
EXPOSE 8000
