"""Open data: the public values in forms that other programs read. Nothing here asks the database."""
