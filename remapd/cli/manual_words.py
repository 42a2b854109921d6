"""What the manual pages say of each command beside its arguments: what it is for, and examples.

A command that is not in here is described by the first lines of its module.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Told:
    """What a command is for, in paragraphs, and lines that can be typed with what they do."""

    about: tuple[str, ...]
    examples: tuple[tuple[str, str], ...] = ()
    see: tuple[str, ...] = ()  #: other commands


TOLD: Final[dict[str, Told]] = {
    "demo": Told(
        (
            "Plays a recorded session of a game through a layout, and draws what the hands do, "
            "which layers are on, and what the game gets. Where a virtual gamepad can be made, "
            "the session plays into a real one.",
        ),
        (("remapd demo --plain", "in sentences, for a screen reader"),),
    ),
    "run": Told(
        (
            "Takes the devices that the layout names, makes the one gamepad that the game gets, "
            "and plays until Ctrl-C. What is plugged in later is taken then. The layout is read "
            "anew whenever it is saved; one with a mistake is refused, and the one before plays "
            "on. It needs the right to read the devices and to write to /dev/uinput.",
            "Without a layout it makes one gamepad of all that are plugged in. Whoever first "
            "holds a button for a second is the player; the others help.",
            "Stop playing at pain, tingling or numbness. A wheelchair's drive, a ventilator, "
            "alarms and call bells never go through remapd.",
        ),
        (
            ("remapd run harbour.yaml", "play with this layout"),
            ("remapd run --name two other.yaml", "a second player, with a pad of their own"),
        ),
        ("status", "watch", "pause", "check", "service"),
    ),
    "fit": Told(
        (
            "Asks who plays, lets them press each switch, push each stick and name what moves it, "
            "asks what the game needs, proposes layouts with what each costs the body, and writes "
            "the one that is chosen, with its trials. It can be broken off at any question and "
            "gone on with later; one switch is enough to answer.",
            "A daemon that runs pauses meanwhile. Let the player sit or lie as they will when they "
            "play, and stop at pain, tingling or numbness.",
        ),
        (
            ("sudo remapd fit", "with the right to read the devices"),
            ("remapd fit --aloud", "spoken, so that nobody has to read"),
            ("remapd fit --plan", "before anything is bought: a list of what to borrow"),
            ("remapd fit --from harbour.remapd-pack.txt", "a layout from another machine"),
        ),
        ("run", "check", "pack"),
    ),
    "devices": Told(
        (
            "Lists what is plugged in, who holds it, and the lines with which a layout finds it. "
            "On a terminal it goes on to name each thing as it is pressed or moved. With --bench "
            "somebody presses one switch to a beat; what its contact does, and which settings "
            "that asks for, is told at the end.",
        ),
        (
            ("remapd devices", "what is plugged in, then what is pressed"),
            ("remapd devices 'Switch box' --bench --presses 20", "test one switch"),
        ),
        ("run", "health"),
    ),
    "status": Told(
        (
            "Says how the running daemon is: the layout and since when, the layers that are on, "
            "which devices are taken or missing, a save that was refused, and how quick it is.",
        ),
        (),
        ("watch", "health"),
    ),
    "watch": Told(
        (
            "Shows each control as it is pressed, the layers that are on, the pad as the game "
            "gets it, and what became of the last presses, with the reason. It only looks: play "
            "never waits for it, and nothing can be changed from it.",
        ),
        (
            ("remapd watch", "a picture in the terminal"),
            ("remapd watch --plain", "one sentence for each change"),
            ("remapd watch --page --listen 192.168.1.20", "a page for a tablet in the house"),
        ),
        ("status", "why", "cues"),
    ),
    "cues": Told(
        (
            "Plays what the layout wants to be heard: soft tones, spoken words, notifications. "
            "It belongs into the session of whoever plays. A sudden sound can set off a startle "
            "or a spasm: try the cues with the player first.",
        ),
        (
            ("remapd cues --try", "every tone, a sentence and the rumbles, before play"),
            ("systemctl --user enable --now remapd-cues", "at every login"),
        ),
        ("watch",),
    ),
    "pause": Told(
        ("Lets go of everything, and gives every device back to the desktop. The pad stays.",),
        (),
        ("resume", "release"),
    ),
    "resume": Told(("Takes the devices again after a pause.",), (), ("pause",)),
    "release": Told(
        (
            "Ends every latch, turbo, kept stick, scan and layer that is on by itself. What a "
            "hand still holds stays. Play goes on.",
        ),
        (),
        ("pause",),
    ),
    "use": Told(
        (
            "Changes to another layout while everything runs. One with a mistake is refused, and "
            "the one before plays on.",
        ),
        (("remapd use evening.yaml", "from now on this one"),),
        ("set", "status"),
    ),
    "set": Told(
        (
            "Changes one value in the layout's file: comments, order and spacing stay. The result "
            "is checked before anything is written, and the version before is kept. A running "
            "daemon reads it again by itself.",
        ),
        (
            ("remapd set left-knee.acceptance-delay +20ms", "20 ms more than now"),
            ("remapd set sail.right-knee.rate 3/s", "what a control does in a layer"),
            ("remapd set tap 80ms --layout harbour.yaml", "in this file, no daemon needed"),
        ),
        ("undo", "history"),
    ),
    "undo": Told(
        (
            "Puts the layout back as it was before the last change. It is a change like any "
            "other: done twice it is back where it began.",
        ),
        (("remapd undo --to 3", "to the version of this number"),),
        ("history", "set"),
    ),
    "history": Told(
        ("Lists the dated versions of every layout that was in force, and shows one.",),
        (
            ("remapd history harbour.yaml", "those of one layout"),
            ("remapd history harbour.yaml --show 2", "one of them, as it was"),
        ),
        ("undo",),
    ),
    "swap": Told(
        (
            "Player and helper change places. It is for play without a layout, where every "
            "gamepad plays together.",
        ),
        (),
        ("run",),
    ),
    "mark": Told(
        (
            "Puts a remark at this moment into what the daemon remembers, so that the place is "
            "found again in a recording.",
        ),
        (('remapd mark "that did nothing"', "just after it happened"),),
        ("record", "why"),
    ),
    "record": Told(
        (
            "Writes what the devices send into a file that only its owner can read. The daemon "
            "remembers the last two minutes at all times; --last saves them afterwards. A "
            "recording shows how somebody moves: ask the player first. Which keys were typed on "
            "a keyboard is left out unless --keys is there.",
        ),
        (
            ("remapd record --last 2m -o what-happened.jsonl", "what has just been"),
            ("remapd record -o monday.jsonl", "from now on until Ctrl-C"),
        ),
        ("mark", "replay", "why", "report"),
    ),
    "health": Told(
        (
            "Looks at each thing that can stop play, one after another, and prints the line that "
            "mends it. Exit code 0 where all is well, 1 where something is to be mended. As root "
            "it sees the programs of all users.",
        ),
        (("sudo remapd health", "with the programs of all users"),),
        ("status", "devices"),
    ),
    "desktop": Told(
        ("What the desktop's menu does: it shows a notification, or a page in the browser.",),
        (),
        ("health",),
    ),
    "service": Told(
        (
            "Puts remapd on a machine for every day: it starts with it and comes back by itself. "
            "What will be done is printed, and asked for once; a second run does only what is "
            "missing. remapd service remove takes everything away again, but for the layouts.",
        ),
        (
            ("sudo remapd service install harbour.yaml", "from now on, with this layout"),
            ("remapd service show", "what is there"),
            ("sudo remapd service remove", "take it away"),
        ),
        ("health",),
    ),
    "pad": Told(
        ("Prints the mapping string of the pad, for games that know only pads of a list.",),
        (),
        ("run",),
    ),
    "report": Told(
        (
            "Makes one page of a recorded session: what happened in time, presses and rests, "
            "refused presses, each person's share, and effort figures with their limits. It "
            "measures input and is no diagnosis.",
        ),
        (("remapd report monday.jsonl", "monday-report.html"),),
        ("record", "card"),
    ),
    "card": Told(
        (
            "Draws what each control does, layer by layer, in words that can be read from a "
            "chair, and how to pause; to print and hang up, or in words for a screen reader.",
        ),
        (
            ("remapd card harbour.yaml", "harbour-card.html: open it and print it"),
            ("remapd card harbour.yaml --format text", "the same in words"),
            ("remapd card harbour.yaml --sheet", "the hand-over sheet, to be filled in"),
        ),
        ("report", "check"),
    ),
    "replay": Told(
        (
            "Plays a recording through a layout on virtual time: it waits for nothing, and gives "
            "the same bytes every time and on every machine.",
        ),
        (
            ("remapd replay harbour.yaml monday.jsonl --explain", "every decision, and why"),
            ("remapd replay old.yaml monday.jsonl --compare new.yaml", "where they differ"),
        ),
        ("record", "why", "trial"),
    ),
    "check": Told(
        (
            "Reads a layout and proves that all that the game needs can be reached: by whom, with "
            "how many acts of the body, one control at a time or two at once. No device is "
            "needed. Exit code 1 where something is out of reach or the file has a mistake.",
        ),
        (("remapd check harbour.yaml", "the shortest way to everything"),),
        ("card", "trial"),
    ),
    "why": Told(
        (
            "Tells of each press around a remark what became of it and why. Where one other value "
            "would have changed that, it is named, and the whole recording is played with it to "
            "say what it would have gained and lost.",
        ),
        (('remapd why monday.jsonl --at "nothing happened"', "around this remark"),),
        ("record", "mark", "set"),
    ),
    "trial": Told(
        (
            "Runs what stands in NAME.trials.yaml beside NAME.yaml: what goes in, and what must "
            "come out, played with stand-in hands on virtual time. One that fails is drawn.",
        ),
        (
            ("remapd trial harbour.yaml", "run them"),
            ("remapd trial --from monday.jsonl --between 10s 20s", "draft one from a recording"),
        ),
        ("check", "replay"),
    ),
    "pack": Told(
        (
            "Puts a layout, what it includes, its trials and its card into one file that can be "
            "read in any editor, to carry to another machine.",
        ),
        (("remapd pack harbour.yaml", "harbour.remapd-pack.txt"),),
        ("unpack", "fit"),
    ),
    "unpack": Told(
        ("Writes the files of a pack out as they were. Nothing is written over unasked.",),
        (("remapd unpack harbour.remapd-pack.txt --list", "what is in it"),),
        ("pack",),
    ),
}
