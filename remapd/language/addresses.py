"""`left-knee.acceptance-delay`: where a setting that a person names stands in a layout's files.

A name begins with a control (`left-knee`, `knees.left-knee`), a layer (`sail.right-knee.rate`), a
device (`knees.exclusive`), or a top-level setting (`tap`, `merge.left-stick`,
`tunings.tired.left-knee.acceptance-delay`), whichever of them the file has.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from remapd.language.edit import tree_of
from remapd.language.kinds import Decided, Either, Field, Group, Kind, MapOf, Names
from remapd.language.names import pad_control_words
from remapd.language.nodes import MappingNode, Node, ScalarNode
from remapd.language.schema import LAYOUT, resolve
from remapd.language.suggest import did_you_mean


class NoSuchSetting(Exception):
    """Nothing of that name; why, and what could be meant, in words."""


@dataclass(frozen=True, slots=True)
class Address:
    """One setting's place; `node` is None where it is not written yet."""

    file: str  #: the name that the file's places bear
    path: tuple[str, ...]
    kind: Kind
    field: Field | None  #: None for an entry under a name of the layout's own
    node: Node | None

    @property
    def word(self) -> str:
        """The one word that is written, without its quotes; empty where there is none."""
        return self.node.text if isinstance(self.node, ScalarNode) else ""


class Addresses:
    """The settings of a layout and its included files.

    `texts` are theirs by their names, the layout's own first, as `Loaded.texts` has them; they have
    no errors.
    """

    def __init__(self, texts: Mapping[str, str]) -> None:
        trees = ((name, tree_of(text, name)) for name, text in texts.items())
        self._roots = {name: root for name, root in trees if root is not None}
        self._own = next(iter(self._roots), "")
        #: Device to its file; control to the devices that have one of that name.
        self._devices: dict[str, str] = {}
        self._controls: dict[str, list[str]] = {}
        self._pads: list[str] = []  #: devices whose controls are those of a standard pad
        for name, root in self._roots.items():
            for device, node in _entries(root.get("devices")):
                self._devices[device] = name
                if isinstance(node, MappingNode):
                    if isinstance(node.get("controls"), ScalarNode):
                        self._pads.append(device)
                    for control, _ in _entries(node.get("controls")):
                        self._controls.setdefault(control, []).append(device)

    def find(self, written: str) -> Address:
        """The setting that somebody means. Raises NoSuchSetting."""
        words = tuple(word.strip() for word in written.split("."))
        faults: list[NoSuchSetting] = []
        for file, start, rest in self._candidates(words):
            try:
                return self._descend(file, start, rest)
            except NoSuchSetting as fault:
                faults.append(fault)
        if faults:
            raise faults[0]
        if self._pads and words[0] in pad_control_words():
            raise NoSuchSetting(
                f"`{words[0]}` is one of the controls of a standard pad (`controls: gamepad`), "
                "which have no settings of their own"
            )
        raise NoSuchSetting(_said(f"nothing here is called `{words[0]}`", words[0], self._names()))

    def _names(self) -> list[str]:
        layers = [name for name, _ in _entries(self._root().get("layers"))]
        return [*self._controls, *layers, *self._devices, *(each.name for each in LAYOUT.fields)]

    def _root(self) -> MappingNode:
        return self._roots[self._own]

    def _candidates(
        self, words: tuple[str, ...]
    ) -> Iterator[tuple[str, tuple[str, ...], tuple[str, ...]]]:
        """Files, with names to follow as they are, and words of which one name may have several."""
        first = words[0]
        if first == "devices" and len(words) > 1:
            yield self._devices.get(words[1], self._own), (), words
        elif LAYOUT.field(first) is not None:
            yield self._own, (), words
        owners = self._controls.get(first, [])
        if len(owners) > 1:
            choices = " or ".join(f"`{owner}.{'.'.join(words)}`" for owner in owners)
            raise NoSuchSetting(f"more than one device has a `{first}`; write {choices}")
        for owner in owners:
            yield self._devices[owner], ("devices", owner, "controls", first), words[1:]
        if first in self._devices and len(words) > 1 and first in self._controls.get(words[1], []):
            yield self._devices[first], ("devices", first, "controls", words[1]), words[2:]
        for group in ("layers", "tunings"):
            if any(first == name for name, _ in _entries(self._root().get(group))):
                yield self._own, (group, first), words[1:]
        if first in self._devices:
            yield self._devices[first], ("devices", first), words[1:]

    def _descend(self, file: str, start: tuple[str, ...], rest: tuple[str, ...]) -> Address:
        kind: Kind = LAYOUT
        node: Node | None = self._roots[file]
        field: Field | None = None
        path: list[str] = []
        exact = list(start)
        words = list(rest)
        while exact or words:
            kind = resolve(kind)
            if isinstance(kind, Either):
                kind = self._of_either(kind, node, path, words)
                continue
            if isinstance(kind, Decided):
                kind = _decided(kind, node, path)
                continue
            if isinstance(kind, Group):
                name = exact.pop(0) if exact else words.pop(0)
                field = kind.field(name)
                if field is None:
                    raise NoSuchSetting(
                        _said(
                            f"{kind.called} has no setting `{name}`",
                            name,
                            [each.name for each in kind.fields],
                        )
                    )
                kind = field.kind
            elif isinstance(kind, MapOf):
                name = exact.pop(0) if exact else self._key(kind, node, path, words)
                field = None
                kind = kind.value
            else:
                raise NoSuchSetting(f"`{path[-1]}` is one value; it has no `{words[0]}`")
            path.append(name)
            node = node.get(name) if isinstance(node, MappingNode) else None
        self._refuse_group(kind, node, path)
        return Address(file, tuple(path), kind, field, node)

    @staticmethod
    def _of_either(kind: Either, node: Node | None, path: list[str], words: list[str]) -> Kind:
        if node is None or isinstance(node, MappingNode):
            return kind.group
        text = node.text if isinstance(node, ScalarNode) else "a list"
        if path[-1] == "controls":
            raise NoSuchSetting(
                f"the controls of `{path[-2]}` are those of a standard pad (`controls: {text}`) "
                "and have no settings of their own"
            )
        raise NoSuchSetting(f"`{path[-1]}` is just `{text}`, which has no `{words[0]}`")

    def _key(self, kind: MapOf, node: Node | None, path: list[str], words: list[str]) -> str:
        """Takes the words of one name, which may have dots; the longest that is written."""
        known = [name for name, _ in _entries(node)]
        for length in range(len(words), 0, -1):
            name = ".".join(words[:length])
            if name in known:
                del words[:length]
                return name
        where = f" in `{path[-1]}`" if path else ""
        name = words[0]
        if kind.key is Names.NEW:
            raise NoSuchSetting(_said(f"there is no `{name}`{where}", name, known))
        controls = [*self._controls, *self._devices]
        is_chord = " + " in name  # its members are looked up when the layout is loaded
        if kind.key in (Names.BINDING_KEY, Names.CONTROL) and not is_chord and name not in controls:
            raise NoSuchSetting(_said(f"there is no control `{name}`", name, [*known, *controls]))
        if kind.key is Names.CONTROL:  # a tuning's: the last word is the setting
            name = ".".join(words[:-1]) or name
            del words[: max(1, len(words) - 1)]
            return name
        if kind.key is Names.BINDING_KEY and words[1:] and not self._is_part(words):
            raise NoSuchSetting(f"`{name}` has no action{where} yet, so no `{words[1]}` either")
        name = ".".join(words)
        words.clear()
        return name

    def _is_part(self, words: list[str]) -> bool:
        """Whether the words can be a control's part, or a device's control, and no setting."""
        control = words[1] if words[0] in self._devices else words[0]
        for device in self._controls.get(control, []):
            node = self._roots[self._devices[device]]
            found: Node | None = node
            for name in ("devices", device, "controls", control):
                found = found.get(name) if isinstance(found, MappingNode) else None
            if isinstance(found, MappingNode) and found.get("button") is None:
                return True
        return words[0] in self._devices and len(words) == 2

    @staticmethod
    def _refuse_group(kind: Kind, node: Node | None, path: list[str]) -> None:
        """A name that stands for a whole group is no setting."""
        kind = resolve(kind)
        if isinstance(kind, Decided) and isinstance(node, MappingNode):
            kind = _decided(kind, node, path)
        if isinstance(kind, Group):
            names = ", ".join(f"`{each.name}`" for each in kind.fields if not each.required)
            raise NoSuchSetting(
                f"`{path[-1]}` is a group: name one of its settings too"
                + f" ({names})" * bool(names)
            )
        if isinstance(kind, MapOf | Decided):
            raise NoSuchSetting(f"`{path[-1]}` is a group: name one thing in it too")


def _decided(kind: Decided, node: Node | None, path: Sequence[str]) -> Kind:
    for name, _ in _entries(node):
        if name in kind.groups:
            return kind.groups[name]
    raise NoSuchSetting(f"`{path[-1]}` is not written as a group that has settings")


def _entries(node: Node | None) -> list[tuple[str, Node]]:
    if not isinstance(node, MappingNode):
        return []
    return [(key.text, value) for key, value in node.entries]


def _said(message: str, word: str, known: Sequence[str]) -> str:
    """The message, and near words where there are any."""
    remedies = did_you_mean(word, known)
    return "; ".join([message, *remedies[:1]])
