"""Statistics over the whole published collection, in pandas; each figure with n and interval."""
