"""Comparison of two parts: sizes and findings matched by name, and whether the old part serves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from mounts.findings.report import Finding, PartReport
from mounts.findings.wording import decisive
from mounts.identity import Ident
from mounts.kinds.sizes import NamedSize
from mounts.made import Made
from mounts.shape.recipe import Recipe

SHOWN = 0.005  # by which figures must differ for two decimals to show it

RowT = TypeVar("RowT")
Key = Callable[[Finding], object]


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One size of the old part and of the new one; None where one of them lacks it."""

    old: NamedSize | None
    new: NamedSize | None

    @property
    def name(self) -> str:
        """Name of the size."""
        return _first_present(self.old, self.new).name

    @property
    def unit(self) -> str:
        """Unit of its figures."""
        return _first_present(self.old, self.new).unit

    @property
    def changed(self) -> bool:
        """True if old and new differ as displayed."""
        if self.old is None or self.new is None or len(self.old.values) != len(self.new.values):
            return True
        return any(_differ(a, b) for a, b in zip(self.old.values, self.new.values, strict=True))


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One finding on the old part and the same on the new one; None where one of them lacks it."""

    old: Finding | None
    new: Finding | None

    @property
    def finding(self) -> Finding:
        """Finding on the new part where there is one, else that on the old one."""
        return _first_present(self.new, self.old)

    @property
    def verdict_changed(self) -> bool:
        """True if the verdict changes; a finding that comes or goes changes nothing as long as it passes."""
        old, new = (one.verdict.value if one else "pass" for one in (self.old, self.new))
        return old != new

    @property
    def changed(self) -> bool:
        """True if value, limit or verdict differ as displayed."""
        if self.old is None or self.new is None or self.verdict_changed:
            return True
        return _differ(decisive(self.old), decisive(self.new)) or _differ(self.old.limit, self.new.limit)


@dataclass(frozen=True, slots=True)
class SideChange:
    """Changes on one side of the vehicle.

    Attributes:
        side: left, right.
        sizes: all, the changed and the others; where the old part serves, those that it would have by the new job.
        findings: all, the changed and the others.
        features: of the part that differ, without those that differ only by the job's name; none when the old part
            serves as it is.
        count: number of the new part's features.
        bought: by item, how many the old part takes and how many the new one.
    """

    side: str
    sizes: tuple[SizeRow, ...]
    findings: tuple[FindingRow, ...]
    features: tuple[Ident, ...]
    count: int
    bought: Mapping[str, tuple[int, int]]

    @property
    def serves(self) -> bool:
        """True if the old part serves as it is."""
        return not self.features


def compare_parts(old: Made, new: Made, bought: tuple[Counter[str], Counter[str]]) -> SideChange:
    """Return the changes from an old part to a new one of the same kind on the same side.

    Args:
        old: old part with plan, recipe and report.
        new: likewise.
        bought: the bought parts of each, by item.
    """
    kind = new.kind
    renamed = kind.plan(replace(new.job, name=old.job.name, glyphs=old.job.glyphs))  # its label says the same then
    recipe = kind.shape(renamed).recipe
    features = differing_features(old.scene.recipe, recipe)
    items = sorted({*bought[0], *bought[1]})
    return SideChange(
        side=new.job.side,
        sizes=size_rows(tuple(kind.sizes(old.plan)), tuple(kind.sizes(new.plan if features else renamed))),
        findings=finding_rows(old.report, new.report),
        features=features,
        count=len(recipe.features),
        bought={item: (bought[0][item], bought[1][item]) for item in items},
    )


def size_rows(old: Sequence[NamedSize], new: Sequence[NamedSize]) -> tuple[SizeRow, ...]:
    """Return sizes matched by their names, in the new plan's order, those only in the old one last."""
    before, after = {one.name: one for one in old}, {one.name: one for one in new}
    return tuple(SizeRow(before.get(name), after.get(name)) for name in {**after, **before})


def finding_rows(old: PartReport, new: PartReport) -> tuple[FindingRow, ...]:
    """Return findings matched by code, what they lie between, and case, in the new report's order.

    What finds no match so, and is alone with its code on both parts, is matched by the code.
    """
    pairs: dict[int, int] = {}
    for key in (_exact_key, _code_key):
        ours = _group_findings(key, new.findings, pairs.keys())
        theirs = _group_findings(key, old.findings, pairs.values())
        for name, places in ours.items():
            found = theirs.get(name, [])
            if key is not _code_key or len(places) == len(found) == 1:
                pairs.update(zip(places, found, strict=False))
    rows = [FindingRow(old.findings[pairs[k]] if k in pairs else None, one) for k, one in enumerate(new.findings)]
    taken = set(pairs.values())
    return (*rows, *(FindingRow(one, None) for k, one in enumerate(old.findings) if k not in taken))


def differing_features(old: Recipe, new: Recipe) -> tuple[Ident, ...]:
    """Return the features that differ between two recipes."""
    before, after = ({one.ident: one for one in recipe.features} for recipe in (old, new))
    return tuple(ident for ident in {**after, **before} if before.get(ident) != after.get(ident))


def _group_findings(key: Key, findings: Sequence[Finding], taken: Collection[int]) -> dict[object, list[int]]:
    """Return the indices of the findings that are not yet matched, by key."""
    groups: dict[object, list[int]] = {}
    for place, finding in enumerate(findings):
        if place not in taken:
            groups.setdefault(key(finding), []).append(place)
    return groups


def _exact_key(finding: Finding) -> object:
    """Return code, identities and case."""
    return (finding.code, finding.between, finding.case)


def _code_key(finding: Finding) -> object:
    """Return the code."""
    return finding.code


def _differ(one: float | str | None, other: float | str | None) -> bool:
    """Return whether two values differ as displayed."""
    if isinstance(one, str) or isinstance(other, str) or one is None or other is None:
        return one != other
    return bool(abs(one - other) > SHOWN)


def _first_present(first: RowT | None, second: RowT | None) -> RowT:
    """Return the first of two values that is not None."""
    found = first if first is not None else second
    assert found is not None
    return found
