"""Statistics with their uncertainty, in NumPy and SciPy: pure functions, seeds given by the caller."""
