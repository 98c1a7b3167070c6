"""What lies on the bench: the sheets of a job or a kit as values, to be read by a person with greasy fingers."""
