"""The errors of the estimates: each names the value, what is allowed, and what to do."""


class EstimateError(ValueError):
    """Figures cannot be estimated from what was given."""
