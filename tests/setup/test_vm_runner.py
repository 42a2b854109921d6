"""What the VM's runner promises without booting one: time limit, exit code, errors by name."""

from pathlib import Path

import pytest

from tests.vm import debian_kernel, programs
from tests.vm import run as runner
from tests.vm.debian_kernel import VmUnavailableError


def test_the_exit_code_and_the_output_come_through(
    capfdbinary: pytest.CaptureFixture[bytes],
) -> None:
    assert runner.boot(["bash", "-c", "echo ashore; exit 7"], 60) == 7
    assert capfdbinary.readouterr().out == b"ashore\n"


def test_the_environments_programs_are_found_where_nobody_has_activated_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("PATH", "/usr/bin:/bin")

    assert runner.boot(["bash", "-c", "command -v virtme-run"], 60) == 0


def test_when_the_time_is_up_nothing_of_it_lives_on(tmp_path: Path) -> None:
    """Also what the program had started itself, as virtme-ng starts qemu."""
    noted = tmp_path / "child"
    command = f"sleep 1000 & echo $! > {noted}; wait"

    assert runner.boot(["bash", "-c", command], 0.5) == runner.TIME_IS_UP

    child = Path("/proc") / noted.read_text().strip() / "stat"
    assert not child.exists() or ") Z " in child.read_text()


def test_missing_programs_are_named_by_their_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(programs.PROGRAMS, "no-such-program", "no-such-package")

    with pytest.raises(VmUnavailableError, match=r"sudo apt-get install -y .*no-such-package"):
        runner.find_launcher()


def test_an_unknown_distribution_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(debian_kernel, "read_distribution", lambda: ("otheros", "1"))

    with pytest.raises(VmUnavailableError, match="no kernel for the VM is known on otheros 1"):
        debian_kernel.fetch_kernel(tmp_path)


def test_a_cache_that_cannot_be_made_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("REMAPD_TESTS_CACHE", "/dev/null/cache")

    with pytest.raises(VmUnavailableError, match="REMAPD_TESTS_CACHE="):
        runner.made_cache_folder()


def test_a_folder_with_a_space_is_refused_before_booting() -> None:
    runner.refuse_spaces(Path("/home/pat/remapd-1.0"))

    with pytest.raises(VmUnavailableError, match="without spaces"):
        runner.refuse_spaces(Path("/home/pat/my games"))


def test_the_packages_that_a_meta_package_stands_for_are_found() -> None:
    """The output of `apt-cache depends` on Debian and on Ubuntu, as seen on both."""
    listed = (
        "linux-image-generic\n"
        "  Depends: linux-image-6.8.0-151-generic\n"
        "  Depends: linux-modules-extra-6.8.0-151-generic\n"
        "  Depends: linux-firmware\n"
        "  Recommends: thermald\n"
    )

    found = debian_kernel.PARTS.findall(listed)

    assert found == ["linux-image-6.8.0-151-generic", "linux-modules-extra-6.8.0-151-generic"]


def test_a_checkout_that_the_guest_would_hide_is_shared_another_way() -> None:
    kept = Path("/home/somebody/remapd")
    hidden = Path("/tmp/remapd")

    assert runner.shared_words(kept, kept / ".venv") == ["--overlay-rwdir", str(kept)]
    assert runner.shared_words(hidden, hidden / ".venv") == ["--rwdir", str(hidden)]
    assert runner.shared_words(kept, Path("/var/tmp/venv")) == [
        *("--overlay-rwdir", str(kept)),
        *("--rwdir", "/var/tmp/venv"),
    ]
