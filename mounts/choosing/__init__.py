"""Before anything is bought: what goes in a place, and which speakers of the library do."""
