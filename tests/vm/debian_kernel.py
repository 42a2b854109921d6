"""Fetch the distribution's own kernel into a cache folder, once, without being root.

`apt-get download` checks the package against the signed archive. Where the machine's package lists
are missing or stale, lists of our own are fetched into the cache folder; nothing else is touched.
"""

import hashlib
import json
import os
import re
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

# What to ask for, and which packages hold the image and its modules. On Ubuntu the modules are in
# packages of their own.
META_PACKAGES = {"debian": "linux-image-amd64", "ubuntu": "linux-image-generic"}
PARTS = re.compile(r"^\s*Depends: (linux-(?:image|modules|modules-extra)-\d\S*)$", re.MULTILINE)


class VmUnavailableError(Exception):
    """The VM cannot run here; the text says why and what to do."""


@dataclass(frozen=True)
class Kernel:
    """An unpacked kernel."""

    image: Path
    release: str
    distribution: str


def cache_folder() -> Path:
    """The folder for what is worth keeping between runs, outside the checkout."""
    chosen = os.environ.get("REMAPD_TESTS_CACHE")
    if chosen:
        return Path(chosen).absolute()
    base = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(base) / "remapd-tests"


def fetch_kernel(cache: Path) -> Kernel:
    """The distribution's kernel, from the cache or downloaded into it.

    Raises:
        VmUnavailableError: not a distribution we know, or the download failed.
    """
    distribution, version = read_distribution()
    machine = run(["dpkg", "--print-architecture"]).stdout.strip()
    if distribution not in META_PACKAGES or machine != "amd64":
        raise VmUnavailableError(
            f"no kernel for the VM is known on {distribution} {version}, {machine}: only Debian "
            "and Ubuntu on amd64 are; run the kernel tests where /dev/uinput is writable"
        )

    place = cache / f"kernel-{distribution}-{version}"
    stamp = place / "complete.json"
    if not stamp.exists():
        download_kernel(place, META_PACKAGES[distribution], cache)
    release = json.loads(stamp.read_text())["release"]
    image = place / "tree" / "boot" / f"vmlinuz-{release}"
    if not image.exists():
        raise VmUnavailableError(f"{image} has gone missing; remove {place} and run again")
    return Kernel(image=image, release=release, distribution=distribution.capitalize())


def read_distribution() -> tuple[str, str]:
    """The distribution's id and version, as in `("debian", "12")`."""
    lines = Path("/etc/os-release").read_text().splitlines()
    fields = dict(line.split("=", 1) for line in lines if "=" in line)
    return fields.get("ID", "unknown").strip('"'), fields.get("VERSION_ID", "").strip('"')


def download_kernel(place: Path, meta_package: str, cache: Path) -> None:
    """Download, check and unpack the kernel into `place`; its stamp is written last."""
    shutil.rmtree(place, ignore_errors=True)
    packages = place / "packages"
    packages.mkdir(parents=True)
    if not try_download(packages, meta_package, options=[]):
        options = own_lists(cache)
        update = run(["apt-get", *options, "update"])
        if update.returncode != 0 or not try_download(packages, meta_package, options=options):
            reason = update.stderr.strip() or "the package could not be downloaded"
            raise VmUnavailableError(
                f"the kernel package {meta_package} cannot be had through apt: "
                f"{reason.splitlines()[-1]}; try: sudo apt-get update"
            )

    digests = {}
    for package in sorted(packages.glob("*.deb")):
        digests[package.name] = hashlib.sha256(package.read_bytes()).hexdigest()
        unpacked = run(["dpkg-deb", "--extract", str(package), str(place / "tree")])
        if unpacked.returncode != 0:
            raise VmUnavailableError(f"{package.name} cannot be unpacked: {unpacked.stderr}")
    shutil.rmtree(packages)
    images = sorted((place / "tree" / "boot").glob("vmlinuz-*"))
    if not images:
        raise VmUnavailableError(f"{meta_package} brought no kernel image")
    release = images[-1].name.removeprefix("vmlinuz-")
    text = json.dumps({"release": release, "sha256": digests}, indent=1)
    (place / "complete.json").write_text(text)


def try_download(packages: Path, meta_package: str, *, options: list[str]) -> bool:
    """Download the packages that the meta package stands for; False when apt cannot."""
    wanted: list[str] = []
    waiting = [meta_package]
    while waiting:
        listed = run(["apt-cache", *options, "depends", waiting.pop()]).stdout
        found = [name for name in PARTS.findall(listed) if name not in wanted]
        wanted += found
        waiting += found
    if not wanted:
        return False
    print(f"vm: downloading {' '.join(wanted)} (once)", flush=True)
    return run(["apt-get", *options, "download", *wanted], folder=packages).returncode == 0


def own_lists(cache: Path) -> list[str]:
    """Options that make apt keep its lists in the cache folder, where we may write."""
    state, archives = cache / "apt" / "lists", cache / "apt" / "archives"
    for folder in (state, archives):
        (folder / "partial").mkdir(parents=True, exist_ok=True)
    return ["-o", f"Dir::State::lists={state}", "-o", f"Dir::Cache={archives.parent}"]


def run(command: Sequence[str], *, folder: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run a program with its output kept.

    Raises:
        VmUnavailableError: there is no such program.
    """
    try:
        return subprocess.run(
            command, cwd=folder, capture_output=True, text=True, check=False, env=plain_language()
        )
    except FileNotFoundError as error:
        raise VmUnavailableError(f"the program {command[0]} is missing on this machine") from error


def plain_language() -> dict[str, str]:
    """The environment with untranslated messages, which we read."""
    return {**os.environ, "LC_ALL": "C.UTF-8", "LANGUAGE": ""}
