"""The bridge from the rows of works to `inventory.estimates`: quantities, budgets, funding, cautions, gifts."""

from .works import PackageEstimate, Works, read_works

__all__ = ["PackageEstimate", "Works", "read_works"]
