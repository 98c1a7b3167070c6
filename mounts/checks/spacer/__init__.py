"""What is said of a spacer."""
