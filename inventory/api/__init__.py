"""The same records, actions and rights for programs: JSON over HTTP under /api/v1/."""
