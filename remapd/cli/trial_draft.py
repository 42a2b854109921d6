"""A trial drafted from a recording, for `remapd trial --from`."""

from __future__ import annotations

from pathlib import Path

from remapd.cli.failure import CommandFailed
from remapd.cli.layout_file import fail_with, layout_of_file, layout_of_text
from remapd.cli.told import print_notes
from remapd.cli.written_file import write_whole
from remapd.engine.layout import Layout
from remapd.language.trials import load_trials_text, trials_path
from remapd.recording.draft import draft_trial
from remapd.recording.draft_text import draft_text
from remapd.recording.excerpt import Excerpt
from remapd.recording.lines import RecordingError
from remapd.recording.player import NO_LAYOUT
from remapd.recording.reader import open_recording
from remapd.recording.trials import run_trial


def draft(
    recording: Path, layout_path: Path | None, output: Path | None, between: tuple[int, int] | None
) -> int:
    """Draft it, make sure that it passes, and write it to a new file or standard output."""
    if output is not None and output.exists():
        raise CommandFailed(f"{output} exists already; choose another name, or add to it by hand")
    from_us, until_us = between or (0, None)
    file_name = recording.name.encode(errors="replace").decode()  # a name may be any bytes
    try:
        with open_recording(recording) as reader:
            excerpt = Excerpt(reader, from_us, until_us)
            layout = chosen_layout(excerpt, layout_path)
            name = f"drafted from {file_name}"
            drafted = draft_trial(excerpt, layout, name, own=layout_path is None)
    except RecordingError as error:
        raise CommandFailed(str(error)) from error
    layout_name = "the layout that it holds" if layout_path is None else layout_path.name
    text = draft_text(drafted, layout, file_name, layout_name)
    check_passes(text, layout)
    print_notes(drafted.notes)
    if output is None:
        print(text, end="")
        return 0
    write_whole(output, text.encode())
    print(f"{output}: a trial that passes; read it, and say in its name what it shows")
    if layout_path is not None and output != (beside := trials_path(layout_path)):
        print(f"`remapd trial {layout_path}` runs the trials in {beside}: move it there")
    return 0


def chosen_layout(recording: Excerpt, path: Path | None) -> Layout:
    """The layout of a file, or the one that the recording holds."""
    if path is not None:
        return layout_of_file(path)
    if recording.layout is None:
        remedy = "name one with --layout"
        raise RecordingError(recording.file, None, NO_LAYOUT, remedy)
    return layout_of_text(recording.layout.path, recording.layout.text)


def check_passes(text: str, layout: Layout) -> None:
    """What is written must be a trial that passes, as it is read back."""
    loaded = load_trials_text(text, layout, "the drafted trial")
    if loaded.errors:
        fail_with(loaded.errors, "the drafted trial")
    for trial in loaded.trials:
        result = run_trial(layout, trial)
        if not result.passed:
            raise CommandFailed(
                f"the drafted trial does not pass ({result.mismatches[0].text}); "
                "take a shorter recording"
            )
