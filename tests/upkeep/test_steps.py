"""Which steps are left to do, and what becomes of those that depend on others."""

from __future__ import annotations

from pathlib import Path

import pytest

from remapd.upkeep.steps import Act, MakeLink, RemoveFile, WriteFile, pending
from remapd.upkeep.system import System, UpkeepFailed


def act(*, done: bool, follows_changes: bool = False) -> Act:
    return Act("do it", lambda: done, lambda: None, follows_changes)


def test_what_follows_changes_is_done_again_only_when_something_before_it_changes() -> None:
    done, undone = act(done=True), act(done=False)
    follower = act(done=True, follows_changes=True)

    assert pending([done, follower]) == []
    assert pending([undone, follower]) == [undone, follower]
    assert pending([follower, undone]) == [undone]
    assert pending([act(done=False, follows_changes=True)]) != []


def test_a_file_is_written_in_one_piece_and_said_to_be_changed_where_it_was_there(
    tmp_path: Path,
) -> None:
    step = WriteFile(System(tmp_path), "/etc/x/y.conf", "new\n", "for a test")
    assert step.says == "write /etc/x/y.conf: for a test"
    assert not step.is_done()
    step.do()
    assert step.is_done()
    assert (tmp_path / "etc/x/y.conf").read_text() == "new\n"
    assert (tmp_path / "etc/x/y.conf").stat().st_mode & 0o777 == 0o644
    assert [path.name for path in (tmp_path / "etc/x").iterdir()] == ["y.conf"]

    (tmp_path / "etc/x/y.conf").write_text("old\n")
    assert step.says.startswith("change ")


def test_a_link_takes_the_place_of_a_link_and_never_of_a_file(tmp_path: Path) -> None:
    step = MakeLink(System(tmp_path), "/bin/x", "/opt/x", "for a test")
    step.do()
    assert step.is_done()
    (tmp_path / "bin/x").unlink()
    (tmp_path / "bin/x").symlink_to("/elsewhere")
    assert not step.is_done()
    step.do()
    assert step.is_done()

    (tmp_path / "bin/x").unlink()
    (tmp_path / "bin/x").write_text("somebody's own")
    with pytest.raises(UpkeepFailed, match="move it away first"):
        step.do()
    assert (tmp_path / "bin/x").read_text() == "somebody's own"


def test_what_is_removed_takes_an_empty_folder_of_ours_along_and_no_other(tmp_path: Path) -> None:
    system = System(tmp_path)
    for path in ("etc/remapd/service.conf", "etc/udev/rules.d/60-x.rules"):
        (tmp_path / path).parent.mkdir(parents=True)
        (tmp_path / path).touch()
        step = RemoveFile(system, f"/{path}")
        step.do()
        assert step.is_done()

    assert not (tmp_path / "etc/remapd").exists()
    assert (tmp_path / "etc/udev/rules.d").is_dir()
