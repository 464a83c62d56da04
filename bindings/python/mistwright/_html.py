"""Tables for notebooks."""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


def with_degrees(text: str) -> str:
    return text.replace("degC", "\u00b0C").replace("degF", "\u00b0F")


def figure(name: str, findings: str, columns: Sequence[tuple[str, str, str]],
           rows: Iterable[tuple[Sequence[str], bool]], note: str) -> str:
    """A table under a house's name and what it says.

    columns: each with its name, unit and side. rows: each with its texts, and whether they stand out.
    """
    heads = "".join(f'<th scope="col" style="text-align:{side}">{title}<br>'
                    f'<span style="font-weight:normal">{unit or "&nbsp;"}</span></th>'
                    for title, unit, side in columns)
    lines = []
    for texts, stands_out in rows:
        cells = "".join(f'<td style="text-align:{side}">{escape(text)}</td>'
                        for text, (_, _, side) in zip(texts, columns))
        style = ' style="font-weight:bold"' if stands_out else ""
        lines.append(f"<tr{style}>{cells}</tr>")
    return (f"<figure style=\"margin:0\"><figcaption><strong>{escape(name)}</strong>"
            f"<br>{escape(with_degrees(findings))}</figcaption><table><thead><tr>{heads}"
            f"</tr></thead><tbody>{''.join(lines)}</tbody></table><p>{escape(note)}</p></figure>")
