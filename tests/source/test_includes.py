"""Loading a spec with its includes: order, root, links, cycles, limits, and files that cannot be read."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from humdinger.diagnostics import Diagnostic
from humdinger.source import DiskWorld, MemoryWorld, Scalar, load, load_with_texts
from support.demos import NAMES

SPEC = "/work/shop/heron/heron.yaml"


def world(spec: str, *, links: dict[str, str] | None = None, **files: str) -> MemoryWorld:
    paths = {name.replace("__", "/") + ".yaml": text for name, text in files.items()}
    return MemoryWorld({SPEC: spec, **{f"/work/{path}": text for path, text in paths.items()}}, links=links)


def many(spec: str, beside: dict[str, str]) -> MemoryWorld:
    return MemoryWorld({SPEC: spec, **{f"/work/shop/heron/{name}.yaml": text for name, text in beside.items()}})


def codes(found: tuple[Diagnostic, ...]) -> list[str]:
    return [d.code for d in found]


def test_trees_come_weakest_first_with_their_kind() -> None:
    made = world(
        "include: [../shop.yaml, ../parts.yaml]\na: 1\n",
        shop__shop="humdinger-shop: 1\ninclude: [style.yaml]\n",
        shop__style="style: {resistors: box}\n",
        shop__parts="humdinger-parts: 1\n",
    )
    source, found = load(made, SPEC)
    assert not found
    assert source is not None
    assert [(i.path, i.kind) for i in source.includes] == [
        ("/work/shop/style.yaml", "spec"),
        ("/work/shop/shop.yaml", "shop"),
        ("/work/shop/parts.yaml", "parts"),
    ]
    assert source.shop_root == "/work/shop"
    assert source.path == SPEC
    assert set(source.texts) == {SPEC, *(i.path for i in source.includes)}


def test_paths_in_spans_are_as_the_user_gave_them() -> None:
    made = MemoryWorld({"shop/shop.yaml": "humdinger-shop: 1\n", "shop/heron/heron.yaml": "include: [../shop.yaml]\n"})
    source, found = load(made, "shop/heron/heron.yaml")
    assert not found
    assert source is not None
    assert source.root.span.file == "shop/heron/heron.yaml"
    assert source.includes[0].root.span.file == source.includes[0].path == "shop/shop.yaml"


def test_the_root_is_the_nearest_folder_with_a_shop_file() -> None:
    made = world("include: [../../outer.yaml]\n", shop__shop="humdinger-shop: 1\n", outer="a: 1\n")
    _, found = load(made, SPEC)
    assert codes(found) == ["SRC-022"]
    assert "/work/shop" in found[0].notes[0]
    # A shop file further up moves the root up, once the nearer one is gone.
    made = world("include: [../../outer.yaml]\n", shop="humdinger-shop: 1\n", outer="a: 1\n")
    source, found = load(made, SPEC)
    assert not found
    assert source is not None
    assert source.shop_root == "/work"


def test_without_a_shop_file_the_root_is_the_folder_of_the_spec() -> None:
    made = world("include: [near.yaml, ../far.yaml]\n", shop__heron__near="a: 1\n", shop__far="b: 1\n")
    source, found = load(made, SPEC)
    assert codes(found) == ["SRC-022"]
    assert source is not None
    assert [i.path for i in source.includes] == ["/work/shop/heron/near.yaml"]


@pytest.mark.parametrize("name", ["/etc/passwd", "~/x.yaml", "\\\\server\\x", "C:/x.yaml", "file:x.yaml"])
def test_paths_that_are_not_relative(name: str) -> None:
    _, found = load(world(f"include: ['{name}']\n"), SPEC)
    assert codes(found) == ["SRC-022"]
    assert "not a relative path" in found[0].message


def test_outside_the_root_nothing_is_told_of_what_is_there() -> None:
    there = load(world("include: [../../x.yaml]\n", x="a: 1\n"), SPEC)[1]
    missing = load(world("include: [../../x.yaml]\n"), SPEC)[1]
    assert there == missing


def test_a_link_that_leads_out_is_followed_before_the_root_is_checked() -> None:
    made = world("include: [inside.yaml]\n", links={"/work/shop/heron/inside.yaml": "../../outer.yaml"}, outer="a: 1\n")
    _, found = load(made, SPEC)
    assert codes(found) == ["SRC-022"]


def test_a_linked_spec_has_its_root_where_it_really_lies() -> None:
    made = world("include: [../shop.yaml]\n", links={"/work/link.yaml": "shop/heron/heron.yaml"}, shop__shop="humdinger-shop: 1\n")
    source, found = load(made, "/work/link.yaml")
    assert not found
    assert source is not None
    assert source.shop_root == "/work/shop"
    assert source.root.span.file == "/work/link.yaml"


def test_cycles() -> None:
    _, found = load(world("include: [heron.yaml]\n"), SPEC)
    assert codes(found) == ["SRC-023"]
    assert "is itself" in found[0].message
    made = world("include: [a.yaml]\n", shop__heron__a="include: [b.yaml]\n", shop__heron__b="include: [a.yaml]\n")
    source, found = load(made, SPEC)
    assert codes(found) == ["SRC-023"]
    assert found[0].primary
    assert found[0].primary.span.file == "/work/shop/heron/b.yaml"
    assert source is not None
    assert len(source.includes) == 2


def test_a_file_asked_for_twice_is_read_once() -> None:
    made = many("include: [a.yaml, b.yaml]\n", {"a": "include: [c.yaml]\n", "b": "include: [c.yaml]\n", "c": "x: 1\n"})
    source, found = load(made, SPEC)
    assert not found
    assert source is not None
    assert [i.path.rsplit("/")[-1] for i in source.includes] == ["c.yaml", "a.yaml", "b.yaml"]


def test_depth_four_is_allowed_and_five_is_not() -> None:
    chain = {f"i{n}": f"include: [i{n + 1}.yaml]\n" for n in range(1, 5)}
    source, found = load(many("include: [i1.yaml]\n", {**chain, "i5": "a: 1\n"}), SPEC)
    assert codes(found) == ["SRC-024"]
    assert found[0].primary
    assert found[0].primary.span.file.endswith("i4.yaml")
    assert source is not None
    assert len(source.includes) == 4


def test_the_number_of_includes_is_capped() -> None:
    files = {f"i{n}": "a: 1\n" for n in range(40)}
    source, found = load(many("include:\n" + "".join(f"  - i{n}.yaml\n" for n in range(40)), files), SPEC)
    assert set(codes(found)) == {"SRC-024"}
    assert source is not None
    assert len(source.includes) == 32


@pytest.mark.parametrize("value", ["../shop.yaml", "{a: 1}", ""])
def test_include_must_be_a_list(value: str) -> None:
    source, found = load(world(f"a: 1\ninclude: {value}\n"), SPEC)
    assert codes(found) == ["SRC-020"]
    assert found[0].primary
    assert (found[0].primary.span.line, found[0].primary.span.column) == (2, 1)
    assert source is not None


@pytest.mark.parametrize("value", ["[[a]]", "[{a: 1}]", "['']", "[~, ' ']"])
def test_include_must_be_a_list_of_names(value: str) -> None:
    _, found = load(world(f"include: {value}\n"), SPEC)
    assert set(codes(found)) <= {"SRC-020", "SRC-022"}
    assert found


def test_missing_files_have_near_names() -> None:
    made = world("include: [../shpo.yaml]\n", shop__shop="humdinger-shop: 1\n")
    source, found = load(made, SPEC)
    assert codes(found) == ["SRC-021"]
    assert found[0].helps[0].text == "did you mean shop.yaml?"
    assert source is not None
    source, found, texts = load_with_texts(MemoryWorld({SPEC: "a: 1\n"}), "/work/shop/heron/hern.yaml")
    assert source is None
    assert codes(found) == ["SRC-001"]
    assert found[0].helps[0].text == "did you mean heron.yaml?"
    assert not texts


def test_a_folder_is_no_file() -> None:
    _, found = load(world("include: [sub]\n", shop__heron__sub__x="a: 1\n"), SPEC)
    assert codes(found) == ["SRC-021"]
    assert "folder" in found[0].message
    _, found = load(world("a: 1\n"), "/work/shop")
    assert codes(found) == ["SRC-001"]


def test_faults_inside_an_include_are_told_there() -> None:
    made = world("include: [a.yaml]\n", shop__heron__a="x: 1\nx: 2\n")
    source, found = load(made, SPEC)
    assert codes(found) == ["SRC-010"]
    assert found[0].primary
    assert found[0].primary.span.file == "/work/shop/heron/a.yaml"
    assert source is not None
    assert source.texts["/work/shop/heron/a.yaml"] == "x: 1\nx: 2\n"
    _, found = load(world("include: [a.yaml]\n", shop__heron__a="- x\n"), SPEC)
    assert codes(found) == ["SRC-017"]


def test_texts_are_there_although_there_is_no_tree() -> None:
    source, found, texts = load_with_texts(world("a: [\n"), SPEC)
    assert source is None
    assert codes(found) == ["SRC-007"]
    assert texts[SPEC] == "a: [\n"


def test_on_a_real_disk_with_links_and_a_pipe(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    (shop / "amp").mkdir(parents=True)
    (tmp_path / "secret.yaml").write_text("a: 1\n")
    (shop / "shop.yaml").write_text("humdinger-shop: 1\n")
    (shop / "amp" / "out.yaml").symlink_to(tmp_path / "secret.yaml")
    os.mkfifo(shop / "amp" / "pipe.yaml")
    (shop / "amp" / "bytes.yaml").write_bytes(b"a: \xff\n")
    spec = shop / "amp" / "amp.yaml"
    spec.write_text("include: [../shop.yaml, out.yaml, pipe.yaml, bytes.yaml, gone.yaml]\n")
    source, found = load(DiskWorld(), str(spec))
    assert codes(found) == ["SRC-022", "SRC-021", "SRC-003", "SRC-021"]
    assert source is not None
    assert [i.path for i in source.includes] == [str(shop / "shop.yaml")]


def test_a_link_in_a_circle_is_a_finding(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").symlink_to(tmp_path / "b.yaml")
    (tmp_path / "b.yaml").symlink_to(tmp_path / "a.yaml")
    source, found = load(DiskWorld(), str(tmp_path / "a.yaml"))
    assert source is None
    assert codes(found) == ["SRC-001"]


@pytest.mark.parametrize("name", NAMES)
def test_the_demos_load(name: str) -> None:
    demos = Path(__file__).resolve().parents[2] / "specs_demo"
    source, found = load(DiskWorld(), str(demos / name / f"{name}.amp.yaml"))
    assert not found
    assert source is not None
    assert [i.kind for i in source.includes] == ["shop"]
    assert isinstance(source.root.get("humdinger"), Scalar)
