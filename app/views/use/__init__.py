"""What the Use room's templates may read."""
