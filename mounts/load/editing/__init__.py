"""Texts of a person's own files: templates to fill in, copies, and values changed in place.

Takes names, values and the text of a file; gives text; `write/` writes it. May import `parse/`, `catalogue/` and
`resolve/`.
"""
