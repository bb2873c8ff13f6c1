"""What the workroom's templates ask for."""
