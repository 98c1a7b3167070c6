"""Models of the files: frozen values whose names are the keys that a person writes.

Takes data of `parse/`; gives validated values, and jobs as later stages receive them. May import `parse/`, `geometry/`
and pydantic; needs no numpy.
"""
