"""Names that every format takes."""

from __future__ import annotations

import re
import unicodedata


def slug(text: str) -> str:
    """Return a text as an ASCII name for files and STEP: letters, digits, hyphens; "part" when nothing is left."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-")[:80].rstrip("-") or "part"
