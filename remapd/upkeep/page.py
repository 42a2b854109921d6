"""What is wrong, as a page for people who have no terminal: large, plain, and easily read aloud.

One file with nothing from elsewhere; what is to be mended stands first.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import Final

from remapd.upkeep.findings import Finding, Verdict, summary

_STYLE: Final = """
body { font: 1.3rem/1.5 sans-serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem;
       color: #111; background: #fff; }
h1 { font-size: 1.8rem; } h2 { font-size: 1.4rem; margin-top: 2rem; }
li { margin: 0.8rem 0; }
code { display: block; margin-top: 0.3rem; padding: 0.4rem 0.6rem; border: 2px solid #111;
       font-size: 1.1rem; overflow-wrap: anywhere; }
@media (prefers-color-scheme: dark) { body { color: #eee; background: #111; }
       code { border-color: #eee; } }
"""
_TITLES: Final = {
    Verdict.MEND: "To mend, from the top",
    Verdict.NOTE: "Good to know",
    Verdict.WELL: "In order",
}


def page(findings: Iterable[Finding], heading: str = "") -> str:
    """The whole page; `heading` stands above everything, such as what was just tried."""
    every = list(findings)
    parts = [
        "<!doctype html>",
        '<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width">',
        f"<title>remapd: {escape(summary(every))}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{escape(heading or 'How remapd is')}</h1>",
        f"<p><strong>{escape(summary(every))}</strong></p>",
    ]
    for verdict, title in _TITLES.items():
        chosen = [each for each in every if each.verdict is verdict]
        if chosen:
            parts += [f"<h2>{escape(title)}</h2>", "<ul>", *map(_item, chosen), "</ul>"]
    parts.append(
        "<p>A line in a frame is to be typed in a terminal, or done. Whoever helps you can also "
        "type <code>remapd health</code></p></body></html>"
    )
    return "\n".join(parts) + "\n"


def _item(finding: Finding) -> str:
    sentence = f"{escape(finding.sentence[:1].upper() + finding.sentence[1:])}."
    remedy = f"<code>{escape(finding.remedy)}</code>" if finding.remedy else ""
    return f"<li>{escape(finding.subject.capitalize())}: {sentence}{remedy}</li>"
