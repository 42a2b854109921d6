"""What of the service is on a system: each part, there or missing or not as shipped."""

from __future__ import annotations

from remapd.kernel.hotplug import list_nodes
from remapd.upkeep.hiding import hidden_names
from remapd.upkeep.installation import (
    CLAIMED_RULES,
    ENABLED_LINK,
    GROUP,
    LAYOUTS,
    SETTINGS,
    UNIT,
    Installation,
)
from remapd.upkeep.program import typed_command
from remapd.upkeep.steps import WriteFile
from remapd.upkeep.system import System


def state_lines(system: System) -> tuple[list[str], bool]:
    """Sentences, and whether all that is needed is there."""
    installation = Installation(system, nodes=list_nodes() if system.is_live else ())
    lines: list[str] = []
    whole = True
    for step in installation.steps():
        if not isinstance(step, WriteFile) or step.written == SETTINGS:
            continue
        found = system.text(step.written)
        state = "missing" if found is None else "there" if step.is_done() else "differs"
        whole = whole and state == "there"
        lines.append(f"{state:<8} {step.written}: {step.why}")
    claimed = system.text(CLAIMED_RULES)
    if claimed is not None:
        hidden = "; ".join(hidden_names(claimed)) or "nothing"
        lines.append(f"{'there':<8} {CLAIMED_RULES}: hides {hidden}")
    group = system.group(GROUP)
    enabled = system.path(ENABLED_LINK).is_symlink()
    whole = whole and group is not None and enabled
    if group is None:
        lines.append(f"The group `{GROUP}` is missing.")
    else:
        members = ", ".join(group.members) or "nobody"
        lines.append(f"In the group `{GROUP}`, and so allowed to change layouts: {members}.")
    lines.append(_layout_line(system))
    lines.append(f"The service is {'' if enabled else 'not '}switched on.")
    if system.is_live and enabled:
        active = system.asked("systemctl", "is-active", UNIT) or "unknown"
        status = system.asked("systemctl", "show", "--value", "--property=StatusText", UNIT)
        lines.append(f"It is {active} now{f': {status}' if status else ''}.")
        whole = whole and active == "active"
    if not whole:
        lines.append(f"To mend all of it: sudo {typed_command()} service install")
    return lines, whole


def _layout_line(system: System) -> str:
    for line in (system.text(SETTINGS) or "").splitlines():
        if line.startswith("REMAPD_LAYOUT=/"):
            return f"It plays with {line.partition('=')[2]}."
    kept = system.path(LAYOUTS)
    number = len(list(kept.glob("*.yaml"))) if kept.exists() else 0
    return f"No layout is set: every gamepad plays together ({number} files in {LAYOUTS})."
