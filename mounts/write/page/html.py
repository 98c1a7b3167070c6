"""The page as one file: a policy that lets nothing in but what is written here, and nothing out.

`page.html`, `page.css` and the modules in `mounts/data/view/` are put together as they are; only `three.min.js` was
made by a bundler. A module's `import` lines name what it uses of the others, which stand before it.
"""

from __future__ import annotations

import base64
import hashlib
import html
import re
from functools import lru_cache
from pathlib import Path

from mounts.made import Made
from mounts.write.page.page_data import page_data
from mounts.write.text_shaping import plain_text

DATA = Path(__file__).parent.parent.parent / "data" / "view"
MODULES = (  # each after those that it imports
    "words",
    "data",
    "geometry",
    "targets",
    "shapes",
    "look",
    "stage",
    "eye",
    "cut",
    "pick",
    "marks",
    "readout",
    "findings",
    "controls",
    "main",
)
IMPORT = re.compile(r'^import (\{[^}]*\}) from "(?:\./)?(\w+)(?:\.js)?";$', re.MULTILINE)
EXPORT = re.compile(r"^export (?=(?:function|const) (\w+))", re.MULTILINE)


def page_html(made: Made) -> bytes:
    """Return the page of one part."""
    title = html.escape(plain_text(", ".join(filter(None, (made.job.name, made.job.part)))))
    parts = {"title": title, "data": page_data(made)}
    return re.sub("@(title|data)@", lambda found: parts[found[1]], _frame()).encode(errors="replace")


@lru_cache(maxsize=1)
def _frame() -> str:
    """Return all of the page but what differs from part to part."""
    style, three, ours = _text("page.css"), _text("three.min.js"), bundle_scripts()
    policy = "; ".join(
        (
            "default-src 'none'",
            f"script-src {_hash(three)} {_hash(ours)}",
            f"style-src {_hash(style)}",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )
    parts = {"policy": policy, "style": style, "three": three, "script": ours}
    return re.sub(r"@(policy|style|three|script)@", lambda found: parts[found[1]], _text("page.html"))


def bundle_scripts() -> str:
    """Return the page's own modules as one script, each in a scope of its own that gives what it exports.

    Raises:
        ValueError: if a module uses one that does not stand before it.
    """
    return "\n".join(["const $three = THREE;", *(_scope(k, name) for k, name in enumerate(MODULES))])


def _scope(number: int, name: str) -> str:
    """Return a module as a constant: its exports, from a function that holds the rest."""
    text = _text(f"{name}.js")
    late = {used for _, used in IMPORT.findall(text)} - {"three", *MODULES[:number]}
    if late:
        raise ValueError(f"{name}.js uses {', '.join(sorted(late))}, which does not stand before it")
    given = ", ".join(EXPORT.findall(text))
    body = EXPORT.sub("", IMPORT.sub(r"const \1 = $\2;", text))
    return f"const ${name} = (() => {{\n{body}return {{ {given} }};\n}})();"


def _text(name: str) -> str:
    return (DATA / name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
