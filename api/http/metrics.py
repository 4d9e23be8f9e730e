"""Numbers about ourselves, one registry per app, read by whoever scrapes /metrics."""

from collections.abc import Iterator

from prometheus_client import CollectorRegistry, Counter, Histogram
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector
from sqlalchemy.orm import Session, sessionmaker

from api.db.jobs import count_by_state

_BUCKETS_S = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)

_METHODS = frozenset({"GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE"})


class RequestMetrics:
    """Requests counted and timed by route pattern, so that ids make no new series."""

    def __init__(self, registry: CollectorRegistry) -> None:
        self._requests = Counter(
            "fairlead_http_requests",
            "Requests answered; status 0 is a caller that went away.",
            ("method", "route", "status"),
            registry=registry,
        )
        self._seconds = Histogram(
            "fairlead_http_request_seconds",
            "Time until the last byte of the answer.",
            ("method", "route"),
            buckets=_BUCKETS_S,
            registry=registry,
        )

    def record(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count one request."""
        method = method if method in _METHODS else "other"
        self._requests.labels(method, route, str(status)).inc()
        self._seconds.labels(method, route).observe(seconds)


class JobNumbers(Collector):
    """Jobs by state, counted in the database whenever somebody asks."""

    def __init__(self, factory: sessionmaker[Session]) -> None:
        self._factory = factory

    def describe(self) -> Iterator[Metric]:
        """Nothing to ask the database for while being registered."""
        return iter(())

    def collect(self) -> Iterator[Metric]:
        """One gauge. ``failed`` above zero means that a person must look."""
        gauge = GaugeMetricFamily("fairlead_jobs", "Background jobs by state.", labels=("state",))
        with self._factory() as session:
            for state, number in count_by_state(session).items():
                gauge.add_metric((state.value,), number)
        yield gauge
