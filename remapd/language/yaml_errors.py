"""What the YAML parser says when it cannot read a file, put for someone who has never seen YAML.

The parser names the rule of its grammar that failed; what was meant is nearly always one of a few
slips, told apart by its words and by the text around the place.
"""

from __future__ import annotations

import re

import yaml

from remapd.diagnostics import Span
from remapd.language import messages
from remapd.language.messages import Message
from remapd.language.reporter import Reporter
from remapd.language.text import SourceText

#: How many mappings and lists may stand inside each other.
DEEPEST = 20

#: (pattern over "context: problem", message, whether the context's place is the one to show).
#: Words of libyaml first, those of the pure Python parser beside them.
_TABLE: tuple[tuple[str, Message, bool], ...] = (
    (r"quoted scalar: found unexpected (end of stream|document)", messages.UNCLOSED_QUOTE, True),
    (r"quoted scalar: (found (unknown|invalid Unicode)|did not find expected hex|expected escape)",
     messages.BAD_ESCAPE, False),
    (r"scanning an (anchor|alias)", messages.STAR_OR_AMPERSAND, True),
    (r"(scanning|parsing) a tag|tag handle", messages.TAG, True),
    (r"directive|<document start>|expected '<document", messages.DIRECTIVE, False),
    (r"found unexpected ':'", messages.COMMA_OUT_OF_PLACE, False),
    (r"flow (sequence|mapping|node): ", messages.UNCLOSED_BRACKET, True),
    (r"exceeded maximum nesting depth", messages.TOO_DEEP, False),
    (r"cannot start any token", messages.UNEXPECTED_CHARACTER, False),
    (r"mapping values are not allowed", messages.SECOND_COLON, False),
    (r"simple key: could not find", messages.MISSING_COLON, True),
    (r"sequence entries are not|mapping keys are not allowed", messages.MARK_OUT_OF_PLACE,
     False),
    (r"block scalar", messages.BLOCK_TEXT, True),
    (r"block (mapping|collection|node|sequence): ", messages.BAD_INDENTATION, False),
)  # fmt: skip


#: `left-knee: button: BTN_0`, and `left-knee:south`.
_GROUP = re.compile(r"\s*(?:- )?([^:{}\[\]'\"]+): +([a-z][a-z-]*): +([^:{}\[\]'\"]+)")
_GLUED = re.compile(r"([a-z][a-z0-9.-]*):(\S[^:{}\[\]]*)")


def _settings() -> frozenset[str]:
    """The words that begin a control or an action, or tell how a device is found."""
    from remapd.language.schema import CONTROL_GROUPS, FIND  # noqa: PLC0415 - only a fault pays
    from remapd.language.schema_actions import ACTIONS  # noqa: PLC0415

    return frozenset({*CONTROL_GROUPS, *ACTIONS, *(field.name for field in FIND.fields)})


def report_yaml_error(error: yaml.YAMLError, source: SourceText, reporter: Reporter) -> None:
    """Adds the parser's complaint as one of ours."""
    context = str(getattr(error, "context", None) or "")
    problem = str(getattr(error, "problem", None) or error)
    context_span = _mark_span(getattr(error, "context_mark", None), source)
    span = _mark_span(getattr(error, "problem_mark", None), source) or context_span or source.end()
    said = f"{context}: {problem}"
    row = next((row for row in _TABLE if re.search(row[0], said)), None)
    if row is None:
        reporter.report(messages.NOT_YAML, span, problem=problem)
        return
    _, message, at_context = row
    if message is messages.UNCLOSED_BRACKET:
        _report_bracket(source, span, context_span or span, reporter)
        return
    if message is messages.BAD_INDENTATION:
        _report_block(source, span, context_span, reporter)
        return
    if message is messages.SECOND_COLON:
        _report_colon(source, span, reporter)
        return
    place = context_span if at_context and context_span else span
    if message is messages.MISSING_COLON:
        place = _word(source, place, to_line_end=True)
    reporter.report(
        message, place, character=source.line(place.line)[place.column - 1 : place.column],
        tag=source.line(place.line)[place.column - 1 :].split(" ")[0],
        deepest=DEEPEST,
    )  # fmt: skip


def _mark_span(mark: yaml.Mark | None, source: SourceText) -> Span | None:
    if mark is None:
        return None
    if mark.line + 1 >= len(source.lines) and not source.line(mark.line + 1)[mark.column :].strip():
        return source.end()
    return source.span_at(mark.line + 1, mark.column + 1)


def _word(source: SourceText, span: Span, *, to_line_end: bool = False) -> Span:
    """The place of the whole word, or of all to the line's end or comment, at a mark."""
    rest = source.line(span.line)[span.column - 1 :].split(" #")[0].rstrip()
    length = len(rest) if to_line_end else len(rest.split(" ")[0])
    return source.span_at(span.line, span.column, max(1, length))


def _report_bracket(source: SourceText, span: Span, opening: Span, reporter: Reporter) -> None:
    """Inside brackets: either the closing one is missing, or a comma, or there is one too many."""
    at_end = span == source.end()
    if at_end and opening == span:  # the parser does not say which bracket it was
        opening = _last_open_bracket(source) or opening
    opened = source.line(opening.line)[opening.column - 1 : opening.column]
    found = "" if at_end else source.line(span.line)[span.column - 1 : span.column]
    if opened not in ("{", "["):  # the parser points at the part itself
        reporter.report(messages.COMMA_OUT_OF_PLACE, span, character=found)
    elif span.line == opening.line and found not in ("", "]", "}"):
        reporter.report(messages.MISSING_COMMA, _word(source, span))
    else:
        notes = [("here it is still missing", span)] if span.line != opening.line else []
        reporter.report(
            messages.UNCLOSED_BRACKET,
            opening,
            notes=notes,
            opened=opened,
            closing={"{": "}", "[": "]"}[opened],
        )


def _report_block(source: SourceText, span: Span, opening: Span | None, reporter: Reporter) -> None:
    """Between lines: mostly a line that is not aligned with its neighbours."""
    line = source.line(span.line)
    before = line[: span.column - 1]
    found = line[span.column - 1 : span.column]
    if found in ("]", "}", ","):
        reporter.report(messages.CLOSED_TOO_OFTEN, span, character=found)
    elif before.strip():
        apostrophe = before.endswith("'") and before.count("'") == 2 and found.isalpha()
        reporter.report(
            messages.TEXT_AFTER_VALUE,
            _word(source, span),
            remedies=['put a text with an apostrophe in it between "…"'] if apostrophe else [],
        )
    elif not _report_glued(source, span.line - 1, reporter):
        notes = [("the group that it stands in begins here", opening)] if opening else []
        reporter.report(messages.BAD_INDENTATION, _word(source, span), notes=notes)


def _report_colon(source: SourceText, span: Span, reporter: Reporter) -> None:
    """A colon where none can be: a second one on a line, or a line too far to the right."""
    line = source.line(span.line)
    before = line[: span.column - 1]
    if ":" in before:
        group = _GROUP.fullmatch(line.split(" #")[0].rstrip())
        is_group = group is not None and group[2] in _settings()
        meant = f"did you mean `{group[1]}: {{{group[2]}: {group[3]}}}`?" if group else ""
        reporter.report(messages.SECOND_COLON, span, remedies=[meant] if is_group else [])
        return
    for number in range(span.line - 1, 0, -1):
        above = source.line(number)
        if above.strip() and not above.lstrip().startswith("#"):
            break
    else:
        reporter.report(messages.SECOND_COLON, span)
        return
    indent = len(line) - len(line.lstrip())
    indent_above = len(above) - len(above.lstrip())
    if _report_glued(source, number, reporter):
        return
    if indent > indent_above and ":" in above:
        word = source.span_at(span.line, indent + 1, max(1, len(before.strip())))
        reporter.report(messages.BAD_INDENTATION, word)
    elif ":" not in above:
        reporter.report(
            messages.MISSING_COLON,
            _word(source, source.span_at(number, indent_above + 1), to_line_end=True),
        )
    else:
        reporter.report(messages.SECOND_COLON, span)


def _report_glued(source: SourceText, number: int, reporter: Reporter) -> bool:
    """Whether that line is a name and a value stuck together, which spoils the next; reports it."""
    line = source.line(number) if number > 0 else ""
    glued = _GLUED.fullmatch(line.split(" #")[0].strip())
    if glued is None:
        return False
    place = source.span_at(number, len(line) - len(line.lstrip()) + 1)
    reporter.report(
        messages.SPACE_MISSING,
        _word(source, place, to_line_end=True),
        name=glued[1],
        value=glued[2],
    )
    return True


def _last_open_bracket(source: SourceText) -> Span | None:
    """The bracket that the end of the file leaves open, the innermost one."""
    open_marks: list[yaml.Mark] = []
    try:
        for token in yaml.scan(source.text, Loader=yaml.SafeLoader):
            if isinstance(token, yaml.FlowMappingStartToken | yaml.FlowSequenceStartToken):
                open_marks.append(token.start_mark)
            elif isinstance(token, yaml.FlowMappingEndToken | yaml.FlowSequenceEndToken):
                open_marks.pop()
    except (yaml.YAMLError, IndexError):
        return None
    return _mark_span(open_marks[-1], source) if open_marks else None
