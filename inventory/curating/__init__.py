"""The workroom: the pages for people who write. They decide nothing: they call actions and QuerySets."""
