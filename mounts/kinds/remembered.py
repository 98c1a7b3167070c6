"""The last results of a pure function, kept by what it was called with: for values that cannot be hashed."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from functools import wraps
from typing import TypeVar

from mounts.errors import InputError

Given = TypeVar("Given")
Found = TypeVar("Found")


def remembered(keep: int) -> Callable[[Callable[[Given], Found]], Callable[[Given], Found]]:
    """Return a decorator that keeps the last `keep` results of a function of one frozen value that gives no None."""

    def around(function: Callable[[Given], Found]) -> Callable[[Given], Found]:
        kept: deque[tuple[Given, Found | InputError]] = deque(maxlen=keep)

        @wraps(function)
        def asked(given: Given) -> Found:
            found = next((found for one, found in tuple(kept) if one == given), None)  # other threads may add to it
            if found is None:
                try:
                    found = function(given)
                except InputError as error:
                    found = error
                kept.append((given, found))
            if isinstance(found, InputError):
                raise InputError(*found.problems)
            return found

        return asked

    return around
