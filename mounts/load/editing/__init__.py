"""Texts of a person's own files: templates to fill in, copies, values changed in place, and the JSON Schema.

Takes names, values and the text of a file; gives text; `write/` writes it. May import `parse/`, `models/`,
`catalogue/` and `resolve/`.
"""
