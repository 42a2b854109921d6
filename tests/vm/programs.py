"""The programs that the VM needs on this machine, and the Debian packages that bring them."""

import os
import shutil

PROGRAMS = {
    "qemu-system-x86_64": "qemu-system-x86",
    "busybox": "busybox-static",
    "modprobe": "kmod",
    "file": "file",
    "ip": "iproute2",
    "udevadm": "udev",
    "zstd": "zstd",
}


def missing_packages() -> list[str]:
    """The packages whose programs are not on this machine, also where PATH leaves out sbin."""
    path = os.pathsep.join([os.environ.get("PATH", os.defpath), "/usr/sbin", "/sbin"])
    return [pkg for program, pkg in PROGRAMS.items() if not shutil.which(program, path=path)]
