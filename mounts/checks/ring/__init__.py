"""What is said of a ring, printed or cut."""
