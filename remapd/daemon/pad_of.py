"""What the pad of a daemon is called and says it is."""

from __future__ import annotations

from remapd.daemon.places import DEFAULT_NAME
from remapd.engine.layout import Layout
from remapd.kernel.pad import DEFAULT_NAME as PAD_NAME
from remapd.kernel.pad import REMAPD_IDENTITY, PadIdentity


def pad_name(daemon_name: str) -> str:
    """Two pads on one machine are told apart by their names."""
    return PAD_NAME if daemon_name == DEFAULT_NAME else f"{PAD_NAME} {daemon_name}"


def pad_identity(layout: Layout) -> PadIdentity:
    """The layout's own, where it asks for one."""
    wanted = layout.identity
    if wanted is None:
        return REMAPD_IDENTITY
    return PadIdentity(wanted.vendor, wanted.product, wanted.version)
