"""YAML with places. Meaning of plain scalars: YAML 1.2.2, chapter 10.3, core schema."""

from collections.abc import Callable
from math import isnan
from pathlib import Path
from typing import Any

import pytest
import yaml

from mounts.load.parse.document import Document, parse, parse_plain_scalar, read

FILE = Path("a.yaml")
BOTH = pytest.mark.parametrize("pure", [False, True], ids=["libyaml", "python"])


def only_problems(text: str, pure: bool) -> list[str]:
    return [str(problem) for problem in parse(text, FILE, pure=pure).problems]


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("true", True),
        ("False", False),
        ("yes", "yes"),
        ("no", "no"),
        ("on", "on"),
        ("null", None),
        ("~", None),
        ("", None),
        ("010", 10),
        ("0o10", 8),
        ("0x1F", 31),
        ("-12", -12),
        ("+5", 5),
        ("1e3", 1000.0),
        ("1.5e-3", 0.0015),
        (".5", 0.5),
        ("5.", 5.0),
        ("1_000", "1_000"),
        ("1:30", "1:30"),
        ("190:20:30", "190:20:30"),
        ("2026-11-20", "2026-11-20"),
        ("=", "="),
        ("6.5 in", "6.5 in"),
        (".inf", float("inf")),
        ("-.INF", float("-inf")),
        ("1e999", float("inf")),
        ("9" * 30, float("9" * 30)),
    ],
)
def test_plain_scalars(text: str, meaning: object) -> None:
    found = parse_plain_scalar(text)
    assert found == meaning
    assert type(found) is type(meaning)


def test_not_a_number_is_read_as_one() -> None:
    found = parse_plain_scalar(".nan")
    assert isinstance(found, float)
    assert isnan(found)


@BOTH
def test_places_of_keys_and_values(pure: bool) -> None:
    text = (
        'kind: panel\nfixings:\n  at: {A: [58.0, 53.5],\n       "B": [1, 2]}\nbody:\n  - {depth: 0}\n  - {depth: 16}\n'
    )
    document = parse(text, FILE, pure=pure)
    assert document.data == {
        "kind": "panel",
        "fixings": {"at": {"A": [58.0, 53.5], "B": [1, 2]}},
        "body": [{"depth": 0}, {"depth": 16}],
    }
    assert document.values["fixings", "at", "A", 1] == (FILE, 3, 18)
    assert document.keys["fixings", "at", "B"] == (FILE, 4, 8)
    assert document.values["body", 1, "depth"] == (FILE, 7, 13)
    assert document.spot(("fixings", "at", "C")) == document.values["fixings", "at"]
    assert document.spot(("fixings", "at", "C"), key=True) == (FILE, 3, 3)
    assert str(document.problem(("body", 1, "depth"), "too deep")) == "a.yaml:7:13 body.1.depth: too deep"


@BOTH
def test_a_branch_tells_places_from_the_root(pure: bool) -> None:
    branch = parse("a:\n  b: {c: 5}\n", FILE, pure=pure).under("a", "b")
    assert branch.data == {"c": 5}
    assert str(branch.problem(("c",), "no")) == "a.yaml:2:10 a.b.c: no"


@BOTH
def test_quotes_and_core_tags_decide_the_type(pure: bool) -> None:
    data = parse('a: "5"\nb: !!str 5\nc: !!float 5\ne: >-\n  1:30\nf: !!map {g: 1}\n', FILE, pure=pure).data
    assert data == {"a": "5", "b": "5", "c": 5, "e": "1:30", "f": {"g": 1}}


@BOTH
def test_aliases_repeat_a_value(pure: bool) -> None:
    assert parse("a: &x [1, 2]\nb: *x\n", FILE, pure=pure).data == {"a": [1, 2], "b": [1, 2]}


@BOTH
@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("a: 1\nb: 2\na: 3\n", 'a.yaml:3:1 a: the key "a" is given twice (first on line 1)'),
        ("a: {b: 1, b: 2}\n", 'a.yaml:1:11 a.b: the key "b" is given twice (first on line 1)'),
        ("a:\n", "a.yaml:1:3 a: no value is given; give one, or delete the line"),
        ("a: ~\n", "a.yaml:1:4 a: no value is given; give one, or delete the line"),
        ("a: !mine 5\n", "a.yaml:1:4 a: the tag !mine is not allowed; write the plain value"),
        ("a: !!binary aGk=\n", "a.yaml:1:4 a: the tag !!binary is not allowed; write the plain value"),
        (
            "a: !!python/object/apply:os.system [ls]\n",
            "a.yaml:1:4 a: the tag !!python/object/apply:os.system is not allowed; write the plain value",
        ),
        (
            "x: &x {b: 1}\na:\n  <<: *x\n",
            "a.yaml:3:3 a.<<: merging with << is not allowed; use based_on, or write it out",
        ),
        ("? [1, 2]\n: 3\n", "a.yaml:1:3 a key must be plain text"),
        ("!!int 5: 3\n", "a.yaml:1:1 5: a key has no tag; write plain text"),
        ("a: &x [1, *x]\n", "a.yaml:1:4 a.1: an alias stands inside what it repeats"),
    ],
)
def test_refused_but_read_on(text: str, problem: str, pure: bool) -> None:
    assert only_problems(text + "z: 1\n", pure) == [problem]


@BOTH
def test_all_problems_at_once(pure: bool) -> None:
    text = "a: 1\na: 2\nb:\nc: !x 1\n"
    assert [problem.split(" ")[0] for problem in only_problems(text, pure)] == [
        "a.yaml:2:1",
        "a.yaml:3:3",
        "a.yaml:4:4",
    ]


@BOTH
@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "a.yaml the file is empty; `mounts new` writes one to fill in"),
        ("# only a comment\n", "a.yaml the file is empty; `mounts new` writes one to fill in"),
        ("---\n", "a.yaml the file is empty; `mounts new` writes one to fill in"),
        ("- 1\n- 2\n", "a.yaml:1:1 a list is not a profile; a file holds keys with values, such as kind: panel"),
        ("panel\n", 'a.yaml:1:1 "panel" is not a profile; a file holds keys with values, such as kind: panel'),
    ],
)
def test_not_a_mapping(text: str, message: str, pure: bool, said: Callable[..., str]) -> None:
    assert said(lambda: parse(text, FILE, pure=pure)) == message


@pytest.mark.parametrize(
    ("text", "line", "python_line"),
    [
        ("a: [1, 2\nb: 3\n", 1, 1),
        ("a: b: c\n", 1, 1),
        ("a: 'x\n", 1, 1),
        ("a: 1\n---\nb: 2\n", 2, 2),
        ("a: *x\n", 1, 1),
    ],
)
def test_broken_syntax(text: str, line: int, python_line: int, said: Callable[..., str]) -> None:
    """The two parsers word their reasons differently, so only the place and the head are told here."""
    for pure, at in ((False, line), (True, python_line)):
        message = said(lambda pure=pure: parse(text, FILE, pure=pure))
        assert message.startswith(f"a.yaml:{at}:")
        assert "this is not readable as YAML: " in message
        assert "\n" not in message


@BOTH
def test_a_tab_is_named(pure: bool, said: Callable[..., str]) -> None:
    message = said(lambda: parse("a:\n\tb: 1\n", FILE, pure=pure))
    assert message == "a.yaml:2:1 this is not readable as YAML: a tab stands where YAML needs spaces"


@BOTH
def test_alias_bomb(pure: bool, said: Callable[..., str]) -> None:
    text = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n"
    text += "".join(f"a{k}: &a{k} [{', '.join([f'*a{k - 1}'] * 9)}]\n" for k in range(1, 9))
    message = said(lambda: parse(text, FILE, pure=pure))
    assert message.endswith("more than 50000 values once aliases are expanded")


@BOTH
@pytest.mark.parametrize("depth", [41, 500, 5000])
def test_great_depth(depth: int, pure: bool, said: Callable[..., str]) -> None:
    message = said(lambda: _strict(parse("a: " + "[" * depth + "]" * depth, FILE, pure=pure)))
    assert message.endswith("values are nested deeper than 40")


def test_depth_of_forty_is_fine() -> None:
    assert not parse("a: " + "[" * 39 + "1" + "]" * 39, FILE).problems


def _strict(document: Document) -> None:
    if document.problems:
        raise ValueError(str(document.problems[0]))


def test_files_that_cannot_be_read(tmp_path: Path, said: Callable[..., str]) -> None:
    folder, missing, binary = tmp_path / "folder", tmp_path / "missing.yaml", tmp_path / "binary.yaml"
    wide, large, control = tmp_path / "wide.yaml", tmp_path / "large.yaml", tmp_path / "control.yaml"
    folder.mkdir()
    binary.write_bytes(bytes(range(256)))
    wide.write_text("a: 1\n", encoding="utf-16")
    large.write_text("a: " + "x" * 1_000_000, "utf-8")
    control.write_bytes(b"a: \x07\n")
    assert said(read, folder) == f"{folder} this is a folder; give a YAML file"
    assert said(read, missing) == f"{missing} there is no such file"
    assert said(read, binary) == f"{binary} this is not a text file in UTF-8; give a YAML file"
    assert said(read, wide) == f"{wide} this is not a text file in UTF-8; give a YAML file"
    assert said(read, control) == f"{control} this is not a text file in UTF-8; give a YAML file"
    assert said(read, large) == f"{large} the file is larger than 1 MB; a profile has a few kB"
    assert said(read, Path("/dev/null")) == "/dev/null this is not a plain file; give a YAML file"
    assert said(read, tmp_path / ("x" * 300)).endswith("the file cannot be read: file name too long")


def test_a_byte_order_mark_and_windows_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    assert read(path).data == {"a": 1, "b": 2}
    assert read(path).keys["b",] == (path, 2, 1)


def test_the_python_parser_serves_where_libyaml_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    used: list[Any] = []
    plain_loader = yaml.SafeLoader

    class Watched(plain_loader):
        def __init__(self, stream: str) -> None:
            used.append(stream)
            super().__init__(stream)

    monkeypatch.delattr(yaml, "CSafeLoader")
    monkeypatch.setattr(yaml, "SafeLoader", Watched)
    assert parse("a: no\n", FILE).data == {"a": "no"}
    assert used == ["a: no\n"]
