"""Finding a panel again that is known: which panels of a library have the same holes, and whose mount goes on."""
