"""What can go wrong at the border with the kernel, each with what a person can do about it."""

from __future__ import annotations


class KernelError(Exception):
    """A refusal by the kernel, in words: `message` says what happened, `remedy` what helps."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(f"{message}: {remedy}")
        self.message = message
        self.remedy = remedy


class SourceGone(KernelError):
    """The device was unplugged; close it and wait for it to come back."""


class SourceDenied(KernelError):
    """No permission to read the node; just after plugging in it often comes within 120 ms."""


class SourceUnreadable(KernelError):
    """The node exists and may be opened, but it does not answer as an input device should."""


class SourceBusy(KernelError):
    """Another program has taken the device for itself."""


class PadUnavailable(KernelError):
    """The virtual gamepad cannot be made."""


class UinputMissing(PadUnavailable):
    """/dev/uinput is not there or has no driver behind it."""


class UinputDenied(PadUnavailable):
    """/dev/uinput may not be opened by this user."""


class PadRefused(PadUnavailable):
    """The kernel takes no more devices, or does not take this name or identity."""


class PadLost(KernelError):
    """A write to the virtual gamepad failed: it no longer exists."""
