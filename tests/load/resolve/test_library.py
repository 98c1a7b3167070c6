"""Which library is used, how names are found in it, and what a list of it says."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, get_args

import pytest

from mounts.kinds.registry import KIND_MODULES, declaration_of
from mounts.load.catalogue.folders import FOLDERS, label_of, library_layers, shipped_library
from mounts.load.catalogue.index import LibraryEntry, list_entries
from mounts.load.catalogue.layers import Layers, locate
from mounts.load.catalogue.settings import Settings, load_settings
from mounts.load.parse.units import list_names
from mounts.load.resolve.library import Library, find_library
from mounts.load.resolve.library_check import check_library

DOOR = LibraryEntry(
    kind="panel",
    name="door",
    about="front door (invented)",
    file=Path("profiles/panels/door.yaml"),
    measured="unstated who measured; unstated how well",
    marks=(("place", "door"), ("holes", 4)),
    layer="profiles",
)


def skimmed(root: Path, *below: Path) -> tuple[LibraryEntry, ...]:
    """The quick list of some layers."""
    return list_entries(Layers((root, *below)))


def roots(job: Path | None = None, given: Any = None) -> tuple[Path, ...]:
    return find_library(job, given).layers.roots


def test_the_nearest_profiles_above_the_job_and_the_shipped_ones_underneath(shop: Any) -> None:
    below = (shipped_library(),)
    assert roots(Path("profiles/jobs/woofer.yaml")) == (Path("profiles"), *below)
    inner = Path("vans/blue/profiles")
    inner.mkdir(parents=True)
    assert roots(Path("vans/blue/jobs/a.yaml")) == (inner, *below)
    assert roots(Path("vans/a.yaml")) == roots() == (Path("profiles"), *below)
    assert roots(Path("vans/a.yaml"), inner) == (Path("profiles"), inner, *below)


def test_the_order_of_all_layers(shop: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(shop.folder / "config"))
    own = shop.folder / "config" / "mounts"
    for name in ("one", "two", "three", "config/mounts"):
        (shop.folder / name).mkdir(parents=True)
    (own / "settings.yaml").write_text("kind: settings\nlibraries: [../../three]\npaper: letter\n", "utf-8")
    expected = ["profiles", "one", "two", "three", "config/mounts"]
    found = library_layers(Path(), (Path("one"), Path("two")))
    assert [root.resolve() for root in found] == [
        *((shop.folder / name).resolve() for name in expected),
        shipped_library(),
    ]
    assert [label_of(root) for root in found[-2:]] == ["yours", "shipped"]
    assert load_settings(own).paper == "letter"
    # the same folder twice counts once, where it comes first; what ships is underneath, even where it is the nearest
    assert library_layers(Path(), (Path("profiles"), Path("one")))[:2] == (Path("profiles"), Path("one"))
    assert library_layers(shipped_library() / "jobs", (Path("one"),))[0] == Path("one")


def test_a_folder_that_may_not_be_entered_holds_no_settings() -> None:
    assert load_settings(Path("/", 300 * "x")) == Settings()  # a name that no system takes: a bar for root as well


def test_a_person_s_own_wins_by_name_and_hides_no_other(shop: Any) -> None:
    assert find_library().get("material", "asa").document.file == Path("profiles/materials/asa.yaml")
    assert find_library().get("material", "petg").document.file.parent == shipped_library() / "materials"
    # a shipped job sees what lies where one stands: the person's own asa
    job = shipped_library() / "jobs" / "linnet-rear-square.yaml"
    assert find_library(job).get("material", "asa", job).document.file == Path("profiles/materials/asa.yaml")


def test_what_lies_beside_a_job_is_found_by_its_name_if_it_is_of_the_kind(shop: Any) -> None:
    Path("van").mkdir()
    for name in ("panels/door.yaml", "jobs/woofer.yaml"):
        Path("profiles", name).rename(Path("van", Path(name).name))
    assert shop.load("../van/woofer.yaml")[0].panel.name == "door"
    Path("van/cone.yaml").write_text("kind: panel\nname: cone\n", "utf-8")  # no speaker, so the library's counts
    assert shop.load("../van/woofer.yaml")[0].speaker.name == "cone"
    # in the library's own folder of jobs too
    Path("van/door.yaml").rename("profiles/jobs/door.yaml")
    Path("van/woofer.yaml").rename("profiles/jobs/woofer.yaml")
    assert shop.load()[0].panel.name == "door"


def test_the_command_line_takes_names_and_paths_alike(shop: Any, said: Callable[..., str]) -> None:
    assert locate(("job", "kit"), "woofer") == Path("profiles/jobs/woofer.yaml")
    assert locate(("job",), "profiles/jobs/woofer.yaml") == Path("profiles/jobs/woofer.yaml")
    assert locate(("job", "kit"), "linnet-minibus") == shipped_library() / "kits" / "linnet-minibus.yaml"
    Path("profiles/jobs/woofer.yaml").rename("lone.yaml")
    assert locate(("job",), "lone") == Path("lone.yaml")
    assert said(locate, ("panel",), "cone") == "cone is a speaker; give a panel"
    assert said(locate, ("job", "kit"), "lone-1") == (
        'no job or kit "lone-1" here, in profiles or in what is shipped; did you mean "lone"?'
    )


def test_the_wrong_kind_is_said(shop: Any) -> None:
    shop.change("jobs/woofer.yaml", "panel: door", "panel: cone")
    assert shop.problems() == ["jobs/woofer.yaml:3:8 panel: cone is a speaker; give a panel"]
    shop.change("jobs/woofer.yaml", "panel: cone", "panel: ../speakers/cone.yaml")
    assert shop.problems() == ["speakers/cone.yaml:1:7 kind: cone is a speaker; give a panel"]
    assert shop.problems("speakers/cone.yaml") == [
        "speakers/cone.yaml:1:7 kind: cone is a speaker; give a job, whose kind is ring, cup, spacer or board"
    ]


def test_two_files_of_one_name_in_one_layer(shop: Any) -> None:
    Path("profiles/materials/asa.yml").write_text(Path("profiles/materials/asa.yaml").read_text("utf-8"), "utf-8")
    twins = 'two files are called "asa": profiles/materials/asa.yaml and profiles/materials/asa.yml; keep one, or give '
    assert shop.problems() == [f"jobs/woofer.yaml:5:11 material: {twins.replace('profiles/', '')}its path"]
    found = [entry for entry in check_library(find_library(), ["material"]) if entry.name == "asa"]
    assert [str(problem) for entry in found for problem in entry.problems] == [
        "profiles/materials/asa.yaml asa.yml has the same name; keep one of them",
        "profiles/materials/asa.yml asa.yaml has the same name; keep one of them",
    ]


def test_names_that_differ_by_case_only(shop: Any) -> None:
    shop.change("jobs/woofer.yaml", "material: asa", "material: ASA")
    assert shop.problems()[0].endswith('in profiles or in what is shipped; did you mean "asa"?')
    shop.write("materials/ASA.yaml", Path("profiles/materials/asa.yaml").read_text("utf-8").replace("asa", "ASA"))
    found = [entry for entry in check_library(find_library(), ["material"]) if entry.name == "ASA"]
    assert [str(problem) for entry in found for problem in entry.problems] == [
        "profiles/materials/ASA.yaml asa.yaml differs in small and capital letters alone, which some systems take for "
        "one; rename one"
    ]


def test_a_name_is_the_same_however_a_system_stores_its_accents(shop: Any) -> None:
    cone = Path("profiles/speakers/cone.yaml").read_text("utf-8")
    shop.write("speakers/to\u0301n.yaml", cone.replace("name: cone", "name: t\u00f3n"))  # decomposed, as macOS does
    shop.change("jobs/woofer.yaml", "speaker: cone", "speaker: t\u00f3n")
    assert shop.load()[0].speaker.name == "t\u00f3n"


def test_a_library_folder_that_cannot_be_read(shop: Any, said: Callable[..., str]) -> None:
    assert said(library_layers, Path(), [Path("nowhere")]) == "nowhere there is no such library folder"
    Path("profiles/printers").rename("printers")
    Path("profiles/printers").write_text("", "utf-8")
    assert shop.problems() == [
        "jobs/woofer.yaml:6:10 printer: the library folder printers cannot be read: not a directory"
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("paper: [", "settings.yaml:1:8 this is not readable as YAML"),
        ("paper: a5", 'settings.yaml:1:8 paper: "a5" is not known here; give a4 or letter'),
        ("papers: a4", 'settings.yaml:1:1 papers: unknown key "papers"; keys here: kind, libraries, paper'),
        ("libraries: [3]", "settings.yaml:1:13 libraries.0: 3 is no folder; give its path"),
        ("libraries: gone", "gone there is no such library folder"),
    ],
)
def test_settings_that_are_wrong(
    shop: Any, text: str, message: str, said: Callable[..., str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(shop.folder / "config"))
    (shop.folder / "config" / "mounts").mkdir(parents=True)
    (shop.folder / "config" / "mounts" / "settings.yaml").write_text(text, "utf-8")
    assert message in said(find_library)


def test_a_list_says_what_hides_what(shop: Any) -> None:
    found = {(entry.kind, entry.name): entry for entry in list_entries(find_library().layers)}
    asa = found["material", "asa"]
    assert (asa.file, asa.layer) == (Path("profiles/materials/asa.yaml"), "profiles")
    assert asa.hides == (shipped_library() / "materials" / "asa.yaml",)
    assert found["material", "petg"].layer == "shipped"
    shop.write("hardware/mine.yaml", "kind: hardware\nname: mine\nitems: {iso-7089-m5: {is: thread, thread: M5}}\n")
    found = {(entry.kind, entry.name): entry for entry in check_library(find_library(), ["hardware"])}
    assert found["hardware", "iso-7093-m5"].hides == (shipped_library() / "hardware" / "washers.yaml",)


def test_a_list_is_kept_until_files_change(shop: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(shop.folder / "cache"))
    for file in Path("profiles").rglob("*.yaml"):
        os.utime(file, (1_600_000_000, 1_600_000_000))
    layers = find_library().layers
    first = list_entries(layers)
    monkeypatch.setattr("mounts.load.catalogue.skim.read", None)  # nothing may be read again
    assert list_entries(layers) == first
    monkeypatch.undo()
    monkeypatch.chdir(shop.folder)
    shop.change("panels/door.yaml", "front door (invented)", "another door")
    assert "another door" in {entry.about for entry in list_entries(layers)}
    Path("profiles/panels/door.yaml").unlink()
    assert ("panel", "door") not in {(entry.kind, entry.name) for entry in list_entries(layers)}


def test_every_kind_of_job_is_known_by_its_word() -> None:
    assert [get_args(declaration_of(word).file.model_fields["kind"].annotation)[0] for word in KIND_MODULES] == list(
        KIND_MODULES
    )
    assert "kit" in FOLDERS


def test_a_wheel_carries_its_library_inside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    module = tmp_path / "mounts" / "load" / "catalogue" / "shipped.py"
    (tmp_path / "mounts" / "_profiles").mkdir(parents=True)
    monkeypatch.setattr("mounts.load.catalogue.folders.__file__", str(module))
    assert shipped_library() == tmp_path / "mounts" / "_profiles"


def test_names(shop: Any) -> None:
    library = find_library()
    assert set(library.names("panel")) == {"door", *Library(shipped_library()).names("panel")}
    assert [file for file in library.files("material") if file.stem == "asa"] == [Path("profiles/materials/asa.yaml")]
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
        ("..", 'no panel ".." beside this file, in profiles or in what is shipped; there: door, linked'),
        ("a\0b", 'no panel "a·b" beside this file, in profiles or in what is shipped; there: door, linked'),
        (
            "x" * 5000,
            f'no panel "{"x" * 37}..." beside this file, in profiles or in what is shipped; there: door, linked',
        ),
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
    found = {(entry.kind, entry.name, entry.file.stem): entry for entry in check_library(find_library())}
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
    linked = next(entry for entry in check_library(find_library()) if entry.name == "linked")
    assert [str(p) for p in linked.problems] == [
        "profiles/panels/linked.yaml this link leads out of the library; put the file itself here"
    ]


def test_a_skim_tells_the_same_names_and_words_as_a_list_that_loads_everything(profiles: Path) -> None:
    assert skimmed(profiles) == check_library(Library(profiles))


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
    assert LibraryEntry("hardware", "list", "torn", Path("profiles/hardware/list.yaml"), layer="profiles") in found
    assert DOOR in skimmed(Path("profiles"))


def test_everything_shipped_loads(profiles: Path) -> None:
    wrong = [str(problem) for entry in check_library(Library(profiles)) for problem in entry.problems]
    assert wrong == []


def test_every_shipped_panel_and_speaker_loads_with_its_drawings(profiles: Path) -> None:
    library = Library(profiles)
    for kind in ("panel", "speaker", "material", "printer", "device"):
        for file in library.files(kind):
            loaded = library.load(kind, file)
            assert [str(problem) for problem in loaded.problems] == []
            assert loaded.value.name == file.stem


def test_no_more_names_are_listed_than_one_reads() -> None:
    names = [f"insert-{k}" for k in range(14)]
    assert list_names(names[:12], "hardware") == ", ".join(names[:12])
    assert list_names(names, "hardware") == f"{', '.join(names[:12])} and 2 more: see mounts list hardware"
    assert list_names([], "panel") == "none"
