"""Things to print: the restoration brief and its like, typeset as tagged PDF."""
