"""Numbers about ourselves, one registry per app, read by whoever scrapes /metrics."""

from prometheus_client import CollectorRegistry, Counter, Histogram

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
