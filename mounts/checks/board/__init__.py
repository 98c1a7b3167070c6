"""What is said of a board."""
