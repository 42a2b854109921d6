"""The registry of everything that can be said about a layout file.

A code names what is wrong, never the remedy, and stays the same for ever. `text` says what is
wrong, `remedy` how to mend it, `about` is the paragraph of docs/errors.md. In `text` and `remedy`,
`{word}` is filled in where the fault is found; what the file itself says stands in backticks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from remapd.diagnostics import Severity


@dataclass(frozen=True, slots=True)
class Message:
    """One thing that can be wrong."""

    code: str
    text: str
    remedy: str = ""
    about: str = ""
    severity: Severity = Severity.ERROR


REGISTRY: Final[dict[str, Message]] = {}
#: Headings of docs/errors.md, each with its codes.
SECTIONS: Final[dict[str, list[str]]] = {}


def _section(heading: str) -> None:
    SECTIONS[heading] = []


def _message(
    code: str, text: str, remedy: str = "", about: str = "", severity: Severity = Severity.ERROR
) -> Message:
    if code in REGISTRY:
        raise ValueError(f"two messages with the code {code}")
    message = REGISTRY[code] = Message(code, text, remedy, about, severity)
    SECTIONS[next(reversed(SECTIONS))].append(code)
    return message


_section("The file as a whole")
FILE_MISSING: Final = _message(
    "file-missing",
    "there is no file `{path}`",
    "check its name and folder",
    "The layout, or the file that it includes, is not where it was looked for. An included file is "
    "looked for from the folder of the file that includes it.",
)
FILE_UNREADABLE: Final = _message(
    "file-unreadable",
    "`{path}` cannot be read: {reason}",
    "let the person who runs remapd read it",
    "The file is there, but the system does not give it to remapd.",
)
NOT_A_FILE: Final = _message(
    "not-a-file",
    "`{path}` is not a file",
    "name the layout file itself",
    "A folder or a device was named where a layout file is needed.",
)
FILE_TOO_LARGE: Final = _message(
    "file-too-large",
    "this file is larger than {limit} KiB",
    "a layout is a page or two of text; check that this is one",
    "No layout comes near this size, so it is some other file.",
)
NOT_UTF8: Final = _message(
    "not-utf8",
    "this is not UTF-8 text from here on",
    "save the file as plain text with the encoding UTF-8",
    "Texts are stored in one of several encodings. remapd reads UTF-8, which all of today's "
    "editors write unless told otherwise.",
)
BYTE_ORDER_MARK: Final = _message(
    "byte-order-mark",
    "an unseen mark stands before the first letter of the file",
    "save the file as `UTF-8`, not as `UTF-8 with BOM` or `Unicode`",
    "Some editors put a byte order mark, which nobody sees, before the text.",
)
EMPTY_FILE: Final = _message(
    "empty-file",
    "this file is empty",
    "a layout begins with the line `remapd: 1`, a file of trials with the line `trials:`",
    "There is nothing in the file but blank lines and comments. It may be half saved.",
)
CONTROL_CHARACTER: Final = _message(
    "control-character",
    "an unseen control character ({character}) stands here",
    "delete it; if there are many, this is not a text file",
    "A text has no use for characters that steer old printers and terminals.",
)


_section("Characters")
TAB: Final = _message(
    "tab",
    "there is a tab here",
    "use spaces, not tabs; most editors can turn the Tab key into spaces",
    "How far a line is moved in says what it belongs to, and a tab is as wide as an editor likes.",
)
NO_BREAK_SPACE: Final = _message(
    "no-break-space",
    "this looks like a space, but is another character",
    "delete it and type a space again",
    "Text copied from a web page or a word processor often has no-break spaces, which YAML takes "
    "as part of a word.",
)
UNSEEN: Final = _message(
    "unseen-character",
    "there is a character here that nobody sees ({character})",
    "delete it, or type the line again",
    "Zero-width spaces, soft hyphens and the like come along when text is copied.",
)
CURLY_QUOTE: Final = _message(
    "curly-quote",
    "`{character}` is a typographic quotation mark",
    "use the straight ones: \"…\" or '…'",
    "Word processors turn straight quotation marks into curly ones, which YAML takes as letters.",
)


_section("YAML, the form of the file")
UNCLOSED_QUOTE: Final = _message(
    "unclosed-quote",
    "the quotation mark that opens here is never closed",
    "put the same mark at the end of the text",
    "All that follows an open quotation mark is taken as text, to the end of the file.",
)
UNCLOSED_BRACKET: Final = _message(
    "unclosed-bracket",
    "the `{opened}` that opens here is not closed by `{closing}`",
    "put a `{closing}` at the end of this part",
    "Braces hold names with their values, `{{name: value}}`, square brackets hold a list, "
    "`[one, two]`; each needs its partner.",
)
CLOSED_TOO_OFTEN: Final = _message(
    "closed-too-often",
    "this `{character}` has no partner before it",
    "delete it, or put the opening one where the part begins",
)
MISSING_COMMA: Final = _message(
    "missing-comma",
    "a comma is missing before this",
    "inside `{{…}}` and `[…]` the parts are separated by commas",
)
COMMA_OUT_OF_PLACE: Final = _message(
    "comma-out-of-place",
    "a value is missing before this `{character}`",
    "delete one of the marks, or write the value between them",
)
MISSING_COLON: Final = _message(
    "missing-colon",
    "a colon is missing on this line",
    "write `name: value`, with a colon and a space",
)
SECOND_COLON: Final = _message(
    "second-colon",
    "there is one colon too many on this line",
    'put a text that has a colon in it into quotes: "…"; each setting gets a line of its own',
)
BAD_INDENTATION: Final = _message(
    "bad-indentation",
    "this line is moved in by too much or too little",
    "let all names of one group begin below each other, in the same column",
    "How far a line is moved in says what it belongs to: the parts of a group begin in the same "
    "column, further in than the group's own name.",
)
TEXT_AFTER_VALUE: Final = _message(
    "text-after-value",
    "something follows a value that is complete already",
    "put the whole text into one pair of quotes, or begin a new line",
)
MARK_OUT_OF_PLACE: Final = _message(
    "mark-out-of-place",
    "this mark cannot stand here",
    "put it into quotes if it is meant as text; a list is written `[one, two]`",
)
UNEXPECTED_CHARACTER: Final = _message(
    "unexpected-character",
    "a value cannot begin with `{character}`",
    'put the value into quotes: "…"; a share is written `12%`, with the sign behind',
)
BAD_ESCAPE: Final = _message(
    "bad-escape",
    '`\\` has a meaning of its own in "…", and not with what follows here',
    "use '…' instead, where it is a letter like any other",
)
BLOCK_TEXT: Final = _message(
    "block-text",
    "the text that begins with `{character}` here is not written as it must be",
    "leave the rest of this line empty, and begin the text on the next line, moved in",
)
STAR_OR_AMPERSAND: Final = _message(
    "star-or-ampersand",
    "`{character}` at the beginning of a value has a meaning that layouts do not use",
    'put the text into quotes: "*ball*"',
    "A pattern such as `*ball*` must stand in quotes.",
)
ANCHOR: Final = _message(
    "anchor",
    "`&{name}` is a mark of YAML that layouts do not use",
    'put a text that begins with & into quotes: "…"; to use the same devices in several layouts, '
    "put them into a file and `include` it",
    "Anchors let a file repeat a part of itself; a reader then has to look in two places.",
)
ALIAS: Final = _message(
    "alias",
    "`*{name}` is a mark of YAML that layouts do not use",
    'put a text that begins with * into quotes: "*ball"',
    "A pattern that begins with a star must stand in quotes; without, it is YAML's word for "
    "repeating another part of the file.",
)
MERGE_KEY: Final = _message(
    "merge-key",
    "`<<` is a mark of YAML that layouts do not use",
    "write the settings out; devices can be shared between layouts with `include`",
)
TAG: Final = _message(
    "tag",
    "`{tag}` is a mark of YAML that layouts do not use",
    'delete it; put a text that begins with ! into quotes: "…"',
)
DIRECTIVE: Final = _message(
    "directive",
    "this is an instruction to the YAML reader, which layouts do not use",
    "delete the line; a layout begins with `remapd: 1`",
)
SECOND_DOCUMENT: Final = _message(
    "second-document",
    "a second document begins here",
    "one file is one layout: delete the `---` or move the rest into a file of its own",
)
DUPLICATE_NAME: Final = _message(
    "duplicate-name",
    "`{name}` stands here a second time",
    "keep one of the two; the first is on line {line}",
    "Of two equal names in one group only one can count, and nobody could tell which.",
)
NAME_NOT_A_WORD: Final = _message(
    "name-not-a-word",
    "a name must be a single word, not a list or a group",
    "write `name: value`",
)
TOO_DEEP: Final = _message(
    "too-deep",
    "more than {deepest} parts stand inside each other here",
    "a layout needs no more than a few; check the brackets",
)
NOT_YAML: Final = _message(
    "not-yaml",
    "the file cannot be read from here on ({problem})",
    "compare the line with the examples in the documentation",
    "The reader's own words are in brackets.",
)
TEXT_CUT: Final = _message(
    "text-cut",
    "all from `#` on is taken as a comment, and is no part of the text",
    'if it belongs to the text, put all of it into quotes: "…"',
    "In YAML a `#` after a space begins a comment.",
    Severity.WARNING,
)


_section("Settings and groups")
NOT_A_GROUP: Final = _message(
    "not-a-group",
    "{what} is a group of settings, but here it is {found}",
    about="A group is written as lines moved in below its name, or in braces: `{name: value}`.",
)
NOT_A_LIST: Final = _message(
    "not-a-list",
    "{what} is a list, but here it is {found}",
    "write it in square brackets: [one, two]",
)
NOT_ONE_VALUE: Final = _message(
    "not-one-value",
    "{what} is one value, but here it is {found}",
)
NO_VALUE: Final = _message(
    "no-value",
    "{what} has no value",
    "write {wanted}",
    "Behind a name and its colon nothing follows. The file may be half written.",
)
SPACE_MISSING: Final = _message(
    "space-missing",
    "a space is missing behind the colon",
    "write `{name}: {value}`",
    "YAML takes `a:b` as one word; it becomes a name and its value only as `a: b`.",
)
UNKNOWN_SETTING: Final = _message(
    "unknown-setting",
    "{where} has no setting `{name}`",
)
MISSING_SETTING: Final = _message(
    "missing-setting",
    "{where} needs `{name}`",
)
TOO_FEW: Final = _message("too-few", "{what} needs at least {count}, and has {found}")
TOO_MANY: Final = _message("too-many", "{what} takes at most {count}, and has {found}")
REPEATED_ITEM: Final = _message("repeated-item", "`{word}` stands here a second time", "delete it")
BAD_NAME: Final = _message(
    "bad-name",
    "`{name}` cannot be a name",
    "use small letters a-z, digits and hyphens, beginning with a letter, such as `left-knee`",
)
VERSION_NOT_FIRST: Final = _message(
    "version-not-first",
    "a layout begins with `remapd: 1`",
    "move that line to the top",
    "The first line says which version of the language the file is written in.",
)
WRONG_VERSION: Final = _message(
    "wrong-version",
    "this file says that it is written in version {version} of the language; this program knows "
    "version 1",
    "write `remapd: 1`, or use a newer remapd",
)


_section("Single values")
UNKNOWN_WORD: Final = _message("unknown-word", "{what} cannot be `{word}`")
NOT_TRUE_OR_FALSE: Final = _message(
    "not-true-or-false",
    "{what} is `true` or `false`, not `{word}`",
    about="Only these two words are booleans; `on`, `off`, `yes` and `no` are words like others.",
)
NOT_A_NUMBER: Final = _message("not-a-number", "{what} is a number, not `{word}`")
ODD_NUMBER: Final = _message(
    "odd-number",
    "`{word}` is not read as a number",
    "write it without zeros in front, signs, colons or underscores: `{plain}`",
    "In some versions of YAML `010` is 8 and `1:30` is 90. Here neither is a number.",
)
MISSING_UNIT: Final = _message(
    "missing-unit",
    "`{word}` has no unit",
    "write {examples}",
    "A bare number does not say whether it means milliseconds or seconds, a share or a count.",
)
WRONG_UNIT: Final = _message(
    "wrong-unit",
    "{what} is {family}, and `{word}` is not one",
    "write {examples}",
)
OUT_OF_RANGE: Final = _message(
    "out-of-range",
    "{what} cannot be `{word}`",
    "allowed: {allowed}",
)
NOT_A_PRODUCT_NUMBER: Final = _message(
    "not-a-product-number",
    "{what} is written as 0x and four digits 0-9 a-f, not `{word}`",
    "`remapd devices` shows the numbers of the devices that are plugged in: 0x1209",
)
UNKNOWN_CODE: Final = _message(
    "unknown-code",
    "no button or axis of a device is called `{word}`",
    "`remapd devices` shows the codes of the devices that are plugged in",
    "The names are those of the Linux kernel: BTN_TRIGGER, KEY_SPACE, ABS_X, REL_Y.",
)
NUMBER_AS_CODE: Final = _message(
    "number-as-code",
    "a code of a device is written by its name, not as the number `{word}`",
    "write the kernel's name, such as {examples}",
)
WRONG_CODE: Final = _message(
    "wrong-code",
    "`{word}` is {found}, and {what} needs {wanted}",
    "write one such as {examples}",
)


_section("Devices and controls")
NO_CONTROL_KIND: Final = _message(
    "no-control-kind",
    "a control says what it is: `button`, `lever`, `stick` or `pointer`",
    "write `{{button: BTN_0}}`, `{{lever: ABS_Z}}`, `{{stick: [ABS_X, ABS_Y]}}` or "
    "`{{pointer: [REL_X, REL_Y]}}`",
)
TWO_CONTROL_KINDS: Final = _message(
    "two-control-kinds",
    "a control is one thing, and this one is `{first}` and `{second}`",
    "make two controls of it",
)
SAME_AXIS_TWICE: Final = _message(
    "same-axis-twice",
    "both axes are `{code}`",
    "the first is left and right, the second up and down",
)
ENDS_ALIKE: Final = _message(
    "ends-alike", "both ends are called `{name}`", "give each end of the lever a name of its own"
)
NAME_TAKEN: Final = _message(
    "name-taken",
    "`{name}` is the name of a device and of a control",
    "give one of the two another name",
    "`knees.left` must mean one thing: the control `left` of the device `knees`, or a direction of "
    "a control `knees`.",
)
RESERVED_NAME: Final = _message(
    "reserved-name",
    "`{name}` is a word of the language, and cannot be the name of {what}",
    "use another word",
)
RELEASE_ABOVE_PRESS: Final = _message(
    "release-above-press",
    "release-at ({release}) is above press-at ({press})",
    "write a `release-at` that is not above `press-at`; it is 40% where none is written",
    "A direction presses when the stick gets as far as press-at, and releases when it is back "
    "below release-at. A gap between the two keeps a trembling hand from pressing again and again.",
)
CODE_READ_TWICE: Final = _message(
    "code-read-twice",
    "`{code}` is read by `{first}` and `{second}`: both act whenever it moves",
    "if that is not meant, delete one of them",
    severity=Severity.WARNING,
)
DEVICE_TWICE: Final = _message(
    "device-twice",
    "a device `{name}` is in the included file already",
    "give one of them another name, or delete one",
)
INCLUDE_CIRCLE: Final = _message(
    "include-circle", "`{path}` includes itself", "let it include another file, or none"
)
INCLUDE_WITHOUT_DEVICES: Final = _message(
    "include-without-devices",
    "the file `{path}` has no `devices` to take",
    "an included file has `remapd: 1` and `devices:`",
)
NO_DEVICES: Final = _message(
    "no-devices",
    "this layout has no devices",
    "describe them under `devices:`, or `include` a file that does; `remapd devices` lists what is "
    "plugged in",
)


_section("Names")
UNKNOWN_CONTROL: Final = _message(
    "unknown-control",
    "there is no control `{name}`",
    "controls are named under `devices:`, in `controls:`",
)
AMBIGUOUS_CONTROL: Final = _message(
    "ambiguous-control",
    "more than one device has a control `{name}`",
    "write {choices}",
)
UNKNOWN_PART: Final = _message(
    "unknown-part",
    "`{control}` has no `{part}`",
)
NO_PARTS: Final = _message(
    "no-parts",
    "`{control}` is a button and has no directions",
    "write `{control}` alone",
)
UNKNOWN_LAYER: Final = _message(
    "unknown-layer", "there is no layer `{name}`", "layers are named under `layers:`"
)
UNKNOWN_TUNING: Final = _message(
    "unknown-tuning", "there is no tuning `{name}`", "tunings are named under `tunings:`"
)
UNKNOWN_PAD_CONTROL: Final = _message(
    "unknown-pad-control",
    "`{name}` is no control of the pad, and no verb of this layout",
)
VERB_HIDES_PAD_CONTROL: Final = _message(
    "verb-hides-pad-control",
    "the verb `{name}` has the name of a pad control",
    "use the game's own word",
    "If `south` could mean `east`, no layout could be read without its list of verbs.",
)
BASE_MISSING: Final = _message(
    "base-missing",
    "with more than one layer, `base` must say which of them is always active",
    "write `base: {first}` above `layers:`",
)
LAYER_IS_BASE: Final = _message(
    "layer-is-base",
    "`{name}` is the base, which is always active",
    "name another layer; in a `cycle` the base may stand",
)


_section("Layers and actions")
UNKNOWN_ACTION: Final = _message("unknown-action", "there is no action `{name}`")
NO_ACTION: Final = _message(
    "no-action",
    "this does not say what to do",
    "begin with an action, such as `{{turbo: south, rate: 4/s}}`",
)
TWO_ACTIONS: Final = _message(
    "two-actions",
    "`{first}` and `{second}` are two actions, and a control does one at a time",
    "`{{steps: […]}}` plays one after the other, `{{together: […]}}` presses several at once",
)
ACTION_OUT_OF_PLACE: Final = _message(
    "action-out-of-place",
    "`{name}` cannot stand here",
)
SETTING_WITHOUT_EFFECT: Final = _message(
    "setting-without-effect",
    "`{name}` has no effect here: it goes with `{other}: {word}`",
    "write `{other}: {word}` beside it, or delete it",
)
BOUND_TWICE: Final = _message(
    "bound-twice",
    "`{name}` has an action in this layer already",
    "keep one of them, or move one to another layer",
)
WHOLE_AND_PART: Final = _message(
    "whole-and-part",
    "this layer has an action for `{whole}` and one for `{part}`",
    "keep the whole, or write all its directions",
    "A stick does one thing as a whole, or something for each direction; in one layer not both.",
)
END_AT_REST: Final = _message(
    "end-at-rest",
    "`{name}` is where the lever rests: it is never pressed",
    "use `{other}`, or say `rests-at: middle` if the lever moves both ways",
)
STICK_NEEDS_STICK: Final = _message(
    "stick-needs-stick",
    "`{control}` is moved as a whole, and `{word}` is something to press",
    "send it to `left-stick`, `right-stick` or `dpad`, or name one direction: `{control}.up`",
)
PRESS_GIVEN_STICK: Final = _message(
    "press-given-stick",
    "`{word}` moves, and here something is needed that can be pressed",
    "name one direction of it: `{direction}`",
)
SEND_NEEDS_STICK: Final = _message(
    "send-needs-stick",
    "`send` moves a stick of the pad, and `{control}` is not a stick or pointer",
    "write the action alone, such as `{control}: south`",
)
NOT_A_STICK: Final = _message(
    "not-a-stick",
    "`{word}` is not a stick of the pad",
    "write `left-stick` or `right-stick`",
)
DEVICE_BOUND: Final = _message(
    "device-bound",
    "`{name}` is a device, and takes only `same`",
    "write `{name}: same`, or name one of its controls",
)
SAME_FOR_CONTROL: Final = _message(
    "same-for-control",
    "`same` is for a whole device, and `{name}` is a control",
    "name the pad control: `{name}: south`",
)
SAME_WITHOUT_PARTNER: Final = _message(
    "same-without-partner",
    "`same` finds no fitting pad control of the name {names}",
    "give the control a line of its own, or the name of a pad control",
)
CHORD_OF_MANY: Final = _message(
    "chord-of-many",
    "a chord has two members, and this one has {count}",
    "write `one + other: action`",
)
CHORD_WITH_ITSELF: Final = _message(
    "chord-with-itself", "both members of this chord are `{name}`", "name two controls"
)
CHORD_OF_WHOLE: Final = _message(
    "chord-of-whole",
    "`{name}` is moved as a whole, and a chord is pressed",
    "name one direction: `{name}.up`",
)
CHORD_TWICE: Final = _message(
    "chord-twice", "this layer has a chord of these two already", "keep one of them"
)
PICK_IS_ITSELF: Final = _message(
    "pick-is-itself",
    "`{name}` cannot step through the items and take one as well",
    "let another control pick, or use `every` and let the items change by themselves",
)
PICK_WITH_TIMES: Final = _message(
    "pick-with-times",
    "with `pick`, items change by hand, so `{name}` has no effect",
    "delete `{name}` or `pick`",
)
NO_STEPS: Final = _message(
    "no-steps", "there are only waits here, and nothing to do", "write at least one action"
)


_section("Merging people, tunings")
MERGE_OF_DIRECTION: Final = _message(
    "merge-of-direction",
    "a stick counts as a whole here, and `{name}` is one direction of it",
    "write `{stick}`",
)
MERGE_RULE_UNFIT: Final = _message(
    "merge-rule-unfit",
    "`{rule}` is no rule for {kind}",
)
MERGE_RULES_DIFFER: Final = _message(
    "merge-rules-differ",
    "`{name}` has another rule already",
    "keep one of them; left and right of the d-pad are merged as one, so are up and down",
)
TUNING_OF_PART: Final = _message(
    "tuning-of-part",
    "settings belong to the whole of `{control}`",
    "write `{control}`",
)
TUNED_TWICE: Final = _message(
    "tuned-twice", "`{name}` has settings in this tuning already", "write them into one line"
)
SETTING_OF_ANOTHER_KIND: Final = _message(
    "setting-of-another-kind",
    "`{name}` is not a setting of a {kind}",
)


_section("Cues")
UNKNOWN_CUE: Final = _message(
    "unknown-cue",
    "there is no layer and no event `{name}`",
    "a cue belongs to a layer of this layout, or to an event such as `latch-on` or `device-lost`",
)
CUE_OF_TWO: Final = _message(
    "cue-of-two",
    "`{name}` is a layer of this layout, and an event too",
    "give the layer another name",
    "Both could have this cue, and nobody could tell which is meant.",
)
CUE_SETTING_UNFIT: Final = _message(
    "cue-setting-unfit",
    "`{name}` is only for {whose}",
)
BREAK_WITHOUT_TIME: Final = _message(
    "break-without-time",
    "`break` does not say after how long",
    "write `break: {{after: 45min}}`, or the time that was agreed on",
    "How long is good for this player is for the player and those who treat them to say.",
)
CUE_WITHOUT_SOUND: Final = _message(
    "cue-without-sound",
    "the cue for `{name}` plays nothing",
    "give it a `tone`, something to `say`, a text to `notify`, or a device to `rumble`",
)


_section("Trials")
TRIAL_NOTHING_SAID: Final = _message(
    "trial-nothing-said",
    "{where} does not say what happens",
    "write one of {choices}",
    "Each part of a trial's `input` says one thing that is done, each part of `expect` one change "
    "of the pad.",
)
TRIAL_TWO_THINGS: Final = _message(
    "trial-two-things",
    "`{first}` and `{second}` are two things",
    "give each a part of its own: `- {{at: …, …}}`",
)
TRIAL_SETTING_UNFIT: Final = _message(
    "trial-setting-unfit",
    "`{name}` does not go with `{verb}`",
    "delete it",
)
TRIAL_SETTING_MISSING: Final = _message(
    "trial-setting-missing",
    "`{verb}` needs `{name}`",
    "write {example}",
)
TRIAL_TIMES: Final = _message(
    "trial-times",
    "a part of `expect` has either `at` or `settles-by`",
    "`at: 580ms` is when the change comes; `settles-by: 1.5s` is when it has got there at the "
    "latest, whatever the way",
)
TRIAL_MOVED_BUTTON: Final = _message(
    "trial-moved-button",
    "`{name}` is a button: it is pressed and released, not moved",
    "write `press: {name}`",
)
TRIAL_NOT_A_POINTER: Final = _message(
    "trial-not-a-pointer",
    "`{name}` is no pointer: only those send counts",
    "write `move: {name}`",
)
TRIAL_MOVED_DPAD: Final = _message(
    "trial-moved-dpad",
    "the pad's d-pad is pressed, not moved",
    "write `press: dpad-up`, or another of its directions",
)
TRIAL_PRESSED_STICK: Final = _message(
    "trial-pressed-stick",
    "a stick of the pad moves, so `{name}` is not pressed here",
    "write `move: {stick}, to: {place}`",
)
TRIAL_ONE_SHARE: Final = _message(
    "trial-one-share",
    "`{name}` moves to and fro: its `to` is one share",
    "write `to: 70%`",
)
TRIAL_TWO_SHARES: Final = _message(
    "trial-two-shares",
    "`{name}` moves in a plane: its `to` is two shares, to the right and down",
    "write `to: [100%, 0%]`",
)
UNKNOWN_DEVICE: Final = _message(
    "unknown-device",
    "there is no device `{name}`",
    "devices are named under `devices:`",
)
