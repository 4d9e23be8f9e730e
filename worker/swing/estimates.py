"""Numbers with one sigma, put together."""

from api.domain.measurement import Estimate


def combine_estimates(first: Estimate, second: Estimate) -> Estimate:
    """Two independent estimates of one thing, weighed by their certainty."""
    a, b = first.sigma**-2, second.sigma**-2
    return Estimate((a * first.value + b * second.value) / (a + b), (a + b) ** -0.5)
