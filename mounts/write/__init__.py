"""The files that leave the tool, one writer a format, and the table on the screen."""
