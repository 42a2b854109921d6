"""How the daemon is, in plain sentences for people."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from remapd.language.find_words import set_line


def sentences(status: Mapping[str, Any]) -> list[str]:
    """The status in plain sentences, the most important first."""
    lines = []
    layout, pad = status["layout"], status["pad"]
    if status["paused"] is not None:
        lines.append(f"Remapping is paused ({status['paused']}); `remapd resume` goes on with it.")
    running = duration(status["running_us"])
    lines.append(f"The pad “{pad['name']}” ({pad['node']}) has been there for {running}.")
    if layout["path"] is None:
        lines.append(f"{layout['title']}: no layout file is in use.")
        player = status["player"]
        lines.append(
            f"The player is on “{player}”."
            if player is not None
            else "Nobody is the player yet: whoever holds a button for 1 second first."
        )
    else:
        since = duration(layout["in_force_us"])
        lines.append(f"Layout “{layout['title']}” ({layout['path']}), in force for {since}.")
    if layout["took_us"] is not None and layout["path"] is not None:
        lines[-1] += f" It was in force {layout['took_us'] / 1000:.0f} ms after it was saved."
    lines += _choice_sentences(layout)
    refused = status["refused"]
    if refused is not None:
        ago, name = duration(refused["ago_us"]), Path(refused["path"]).name
        if refused["path"] == layout["path"]:
            lines.append(f"A save {ago} ago was refused ({name}):")
        else:
            lines.append(f"{name} was chosen, and cannot be used ({ago} ago):")
        lines += [f"  {line}" for line in refused["problems"].splitlines()]
    if len(status["layers"]) > 1:
        lines.append(f"Layers on, the newest last: {', '.join(status['layers'])}.")
    if status["paused"] is None:
        lines += _device_sentences(status)
    if status["recordings"]:
        lines.append("A recording is under way.")
    lines.append(_figure_sentence(status["figures"]))
    lines += _form_sentences(status.get("form"))
    return lines


def _choice_sentences(layout: Mapping[str, Any]) -> list[str]:
    """Where what is in force was chosen in place of what was named at the start."""
    path, started_with = layout["path"], layout.get("started_with")
    if path is None or started_with is None or path == started_with:
        return []
    if Path(path).parent == Path(started_with):
        return ["It is one of a folder; `remapd use` lists them, `remapd use NAME` changes."]
    named = Path(started_with)
    return [
        f"It was chosen in place of {named.name}, for after a restart too; "
        f"`remapd use {named.stem}` goes back."
    ]


def _device_sentences(status: Mapping[str, Any]) -> list[str]:
    lines = []
    missing = False
    for device in status["devices"]:
        called = f"`{device['device']}` ({device['person']})"
        match device["state"]:
            case "taken":
                manner = "for remapd alone" if device["alone"] else "shared with other programs"
                if device["waits_to_be_alone"]:
                    manner = "for remapd alone as soon as nothing on it is pressed"
                lines.append(f"{called} is “{device['name']}” at {device['node']}, {manner}.")
                lines += [f"  {words}." for words in [rumble_in_words(device)] if words]
                if device.get("moved_from"):
                    lines.append(_moved_sentence(device))
            case "missing":
                if status["layout"]["path"] is None or device["optional"]:
                    continue
                missing = True
                lines.append(f"{called} is not plugged in: it looks for {device['looks_for']}.")
            case _:
                lines.append(f"{called} would be “{device['name']}”: {device['problem']}.")
    if not lines:
        lines.append("No device is taken.")
    if missing and status["others"]:
        others = ", ".join(f"“{name}”" for name in status["others"])
        lines.append(f"Plugged in and not used: {others}.")
    return lines


def rumble_in_words(device: Mapping[str, Any]) -> str:
    """What is felt on a device that is taken; empty where the layout asks for nothing."""
    problem, share = device.get("rumble_problem"), device.get("rumble", 0.0)
    if problem is None:
        return ""
    if problem:
        return f"Nothing is felt on it: {problem}"
    if share <= 0:
        return "Cues are felt on it"
    how = "" if share >= 1 else f" at {share:.0%}"
    return f"The game's rumble is felt on it{how}"


def _moved_sentence(device: Mapping[str, Any]) -> str:
    return (
        f"  It is at port {device['port']}, as a press has shown, and no more at "
        f"{device['moved_from']}; if it stays there: {set_line(device['device'], device['port'])}"
    )


def _figure_sentence(figures: Mapping[str, Any]) -> str:
    lost = figures["losses"]
    losses = "no input lost" if not lost else f"input lost {lost} times and read back"
    stall = f"longest stall {figures['longest_stall_us'] / 1000:.1f} ms"
    if not figures["frames"]:
        return f"Nothing has been passed on yet; {stall}, {losses}."
    return (
        f"From the kernel's time stamp to our write: median {_ms(figures['median_us'])}, "
        f"99 of 100 within {_ms(figures['p99_us'])}, longest {_ms(figures['longest_us'])}; "
        f"{stall}, {losses}."
    )


def _form_sentences(form: Mapping[str, str] | None) -> list[str]:
    if form is None:  # a daemon from before the last update
        return []
    if not form["why"]:
        return [f"It runs {form['name']}."]
    lines = [f"It runs in {form['name']}, which is slower: {form['why']}."]
    return (
        [*lines, f"  To mend it, and then start it anew: {form['mend']}"] if form["mend"] else lines
    )


def duration(us: int) -> str:
    """As in `12 s`, `3 min 20 s`, `2 h 5 min`."""
    seconds = us // 1_000_000
    minutes, hours = seconds // 60, seconds // 3600
    if seconds < 60:
        return f"{seconds} s"
    if minutes < 60:
        return f"{minutes} min {seconds % 60} s"
    return f"{hours} h {minutes % 60} min"


def _ms(us: int) -> str:
    return f"{us / 1000:.2f} ms"
