"""What is said of a finished cup."""
