"""Which library is used, how names are found in it, and what a list of it says."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import mounts
from mounts.load.library import find_library
from mounts.load.listing import entries
from mounts.load.shipped import packaged
from mounts.load.skim import Entry, skimmed
from mounts.load.units import some

DOOR = Entry(
    kind="panel",
    name="door",
    about="front door (invented)",
    file=Path("profiles/panels/door.yaml"),
    measured="unstated who measured; unstated how well",
    marks=(("place", "door"), ("holes", 4)),
)


def test_the_nearest_profiles_above_the_job(shop: Any) -> None:
    assert find_library(Path("profiles/jobs/woofer.yaml")).root == Path("profiles")
    inner = Path("vans/blue/profiles")
    inner.mkdir(parents=True)
    assert find_library(Path("vans/blue/jobs/a.yaml")).root == inner
    assert find_library(Path("vans/a.yaml")).root == Path("profiles")
    assert find_library().root == Path("profiles")
    assert find_library(Path("vans/a.yaml"), given=inner).root == inner


def test_the_packaged_library_when_there_is_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    root = find_library(tmp_path / "a.yaml").root
    assert root.resolve() == packaged()
    assert packaged() == Path(mounts.__file__).parent.parent / "profiles"
    assert "linnet-woofer" in find_library().names("job")


def test_a_wheel_carries_its_library_inside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    module = tmp_path / "mounts" / "load" / "shipped.py"
    (tmp_path / "mounts" / "_profiles").mkdir(parents=True)
    monkeypatch.setattr("mounts.load.shipped.__file__", str(module))
    assert packaged() == tmp_path / "mounts" / "_profiles"


def test_names(shop: Any) -> None:
    library = find_library()
    assert library.names("panel") == ("door",)
    assert library.names("speaker") == ("cone", "dome")
    assert library.names("job") == ("woofer",)
    assert "iso-7093-m5" in library.names("hardware")


@pytest.mark.parametrize(
    ("reference", "message"),
    [
        ("../../outside.yaml", '"../../outside.yaml" leaves the library and the folder of this file; keep it inside'),
        (
            "../../elsewhere/door.yaml",
            '"../../elsewhere/door.yaml" leaves the library and the folder of this file; keep it inside',
        ),
        ("/etc/hostname.yaml", '"/etc/hostname.yaml" leaves the library and the folder of this file; keep it inside'),
        ("./link.yaml", '"./link.yaml" leaves the library and the folder of this file; keep it inside'),
        ("linked", '"linked" leaves the library and the folder of this file; keep it inside'),
        ("./none.yaml", 'there is no file "./none.yaml" beside this one'),
        ("..", 'no panel ".." in profiles/panels; there: door, linked'),
        ("a\0b", 'no panel "a·b" in profiles/panels; there: door, linked'),
        ("x" * 5000, f'no panel "{"x" * 37}..." in profiles/panels; there: door, linked'),
    ],
)
def test_references_stay_inside(shop: Any, reference: str, message: str, said: Callable[..., str]) -> None:
    outside = Path("outside.yaml")
    outside.write_text(Path("profiles/panels/door.yaml").read_text("utf-8"), "utf-8")
    Path("profiles/jobs/link.yaml").symlink_to(outside.resolve())
    Path("profiles/panels/linked.yaml").symlink_to(outside.resolve())
    assert said(find_library().get, "panel", reference, Path("profiles/jobs/woofer.yaml")) == message


def test_a_path_within_the_library_may_go_up(shop: Any) -> None:
    loaded = find_library().get("panel", "../panels/door.yaml", Path("profiles/jobs/woofer.yaml"))
    assert loaded.value.name == "door"


def test_a_job_outside_the_library_may_name_files_beside_it(shop: Any) -> None:
    Path("van").mkdir()
    for name in ("panels/door.yaml", "jobs/woofer.yaml"):
        (Path("van") / Path(name).name).write_text((Path("profiles") / name).read_text("utf-8"), "utf-8")
    job = Path("van/woofer.yaml")
    job.write_text(job.read_text("utf-8").replace("panel: door", "panel: ./door.yaml"), "utf-8")
    assert shop.load("../van/woofer.yaml")[0].panel.name == "door"


def test_a_library_reached_by_a_link_is_the_library(shop: Any) -> None:
    Path("shared").mkdir()
    Path("profiles").rename("shared/profiles")
    Path("profiles").symlink_to(Path("shared/profiles").resolve())
    assert shop.load()[0].panel.name == "door"


def test_a_list_tells_everything_and_a_broken_file_hides_nothing(shop: Any) -> None:
    shop.write("panels/broken.yaml", "kind: panel\nname: broken\nabout: a torn page\n")
    shop.write("speakers/binary.yaml", "\0")
    shop.write("jobs/lost.yaml", "kind: ring\nname: lost\nabout: names a missing panel\npanel: nowhere\n")
    shop.write(
        "hardware/more.yaml",
        "kind: hardware\nname: more\nabout: twice\nitems:\n  tapped-m5: {is: thread, thread: M5}\n",
    )
    found = {(entry.kind, entry.name, entry.file.stem): entry for entry in entries(find_library())}
    assert found["panel", "door", "door"] == DOOR
    broken = found["panel", "broken", "broken"]
    assert broken.about == "a torn page"
    assert [problem.where for problem in broken.problems] == ["opening", "fixings"]
    assert [str(p) for p in found["speaker", "binary", "binary"].problems] == [
        "profiles/speakers/binary.yaml this is not a text file in UTF-8; give a YAML file"
    ]
    lost = found["job", "lost", "lost"]
    assert lost.about == "names a missing panel"
    assert [p.where for p in lost.problems] == ["speaker", "material", "printer", "fix_to_panel", "panel"]
    assert found["job", "woofer", "woofer"].problems == ()
    assert found["hardware", "nut-m5", "small-parts"].problems == ()
    assert [str(p) for p in found["hardware", "tapped-m5", "small-parts"].problems] == [
        "profiles/hardware/small-parts.yaml:9:3 items.tapped-m5: tapped-m5 is given in profiles/hardware/more.yaml "
        "too, which is the one that counts; rename one"
    ]
    assert found["hardware", "tapped-m5", "more"].problems == ()


def test_links_out_of_the_library_are_told_in_the_list(shop: Any) -> None:
    Path("outside.yaml").write_text(
        Path("profiles/panels/door.yaml").read_text("utf-8").replace("name: door", "name: linked"), "utf-8"
    )
    Path("profiles/panels/linked.yaml").symlink_to(Path("outside.yaml").resolve())
    linked = next(entry for entry in entries(find_library()) if entry.name == "linked")
    assert [str(p) for p in linked.problems] == [
        "profiles/panels/linked.yaml this link leads out of the library; put the file itself here"
    ]


def test_a_skim_tells_the_same_names_and_words_as_a_list_that_loads_everything(profiles: Path) -> None:
    library = find_library(given=profiles)
    assert skimmed(profiles) == entries(library)


def test_a_skim_tells_what_cannot_be_read_and_hides_nothing(shop: Any) -> None:
    shop.write("speakers/binary.yaml", "\0")
    shop.write("hardware/list.yaml", "kind: hardware\nname: list\nabout: torn\nitems: [1, 2]\n")
    shop.write("panels/twice.yaml", "kind: panel\nname: twice\nname: twice\n")
    Path("outside.yaml").write_text("kind: panel\nname: linked\n", "utf-8")
    Path("profiles/panels/linked.yaml").symlink_to(Path("outside.yaml").resolve())
    found = skimmed(Path("profiles"))
    wrong = {entry.name: [str(p) for p in entry.problems] for entry in found if entry.problems}
    assert wrong == {
        "binary": ["profiles/speakers/binary.yaml this is not a text file in UTF-8; give a YAML file"],
        "linked": ["profiles/panels/linked.yaml this link leads out of the library; put the file itself here"],
        "twice": ['profiles/panels/twice.yaml:3:1 name: the key "name" is given twice (first on line 2)'],
    }
    assert Entry("hardware", "list", "torn", Path("profiles/hardware/list.yaml")) in found
    assert DOOR in skimmed(Path("profiles"))


def test_everything_shipped_loads(profiles: Path) -> None:
    wrong = [str(problem) for entry in entries(find_library(given=profiles)) for problem in entry.problems]
    assert wrong == []


def test_every_shipped_panel_and_speaker_loads_with_its_drawings(profiles: Path) -> None:
    library = find_library(given=profiles)
    for kind in ("panel", "speaker", "material", "printer", "device"):
        for file in library.files(kind):
            loaded = library.load(kind, file)
            assert [str(problem) for problem in loaded.problems] == []
            assert loaded.value.name == file.stem


def test_no_more_names_are_listed_than_one_reads() -> None:
    names = [f"insert-{k}" for k in range(14)]
    assert some(names[:12], "hardware") == ", ".join(names[:12])
    assert some(names, "hardware") == f"{', '.join(names[:12])} and 2 more: see mounts list hardware"
    assert some([], "panel") == "none"
