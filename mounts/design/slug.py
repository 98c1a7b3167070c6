"""Names that every format takes."""

from __future__ import annotations

import re
import unicodedata


def slug(text: str) -> str:
    """A text as an ASCII name for files and STEP: letters, digits, hyphens; "part" when nothing is left."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-")[:80].rstrip("-") or "part"
