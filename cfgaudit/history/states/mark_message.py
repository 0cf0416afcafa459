"""The message of a mark: a note of its owner's, and what was measured as trailers.

Written so that ``git interpret-trailers --parse`` finds the trailers whatever the note says, and so that the
note is read back as it was. A line of the note that git would take for the end of the message, or we for a
trailer, gets a space before it; reading takes it away again.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from cfgaudit.source import SourceError

MEASURED = "Measured"
"""The trailer's token: ``Measured: NAME=VALUE``, one a line at the end of the message."""
Measured = tuple[tuple[str, str], ...]
"""Names and values."""

_SPECIAL = r"(?:---(?=\s|$)|-----BEGIN |Measured[ \t]*:|.*-{8} >8 -{8})"
"""The end of a message before a patch, a signature, a trailer of ours, and the line to cut at."""
_TO_QUOTE = re.compile(rf"^(?= *{_SPECIAL})", re.MULTILINE | re.IGNORECASE)
_QUOTED = re.compile(rf"^ (?= *{_SPECIAL})", re.MULTILINE | re.IGNORECASE)
_SIGNATURE = re.compile(r"^-----BEGIN (?:PGP|SSH|SIGNED) ", re.MULTILINE)
_PARAGRAPHS = re.compile(r"\n(?:[ \t]*\n)+")
_TRAILER = re.compile(r"([A-Za-z0-9-]+)[ \t]*:[ \t]*(.*)", re.DOTALL)


class Message(NamedTuple):
    """What a mark says."""

    note: str
    measured: Measured = ()


def checked(note: str, measured: Iterable[str] = ()) -> Message:
    """A note and texts ``NAME=VALUE`` as they will be kept. Raises SourceError with what to do."""
    note = re.sub(r"\r\n?", "\n", note).strip()
    if not note:
        raise SourceError("the note is empty: say with -m what makes this state good")
    if "\0" in note:
        raise SourceError("the note holds a NUL, which no message can: leave it out")
    return Message(_writable(note), tuple(_checked_pair(one) for one in measured))


def _checked_pair(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    pair = name.strip(), value.strip()
    if not (equals and all(pair)):
        raise SourceError(f"{text!r} is no measured value: write NAME=VALUE, such as 'ringing=0.08 mm'")
    if "".join(text.splitlines()) != text or "\0" in text:
        raise SourceError(f"{text!r} has more than one line: give each measured value its own --measured")
    _writable(text)
    return pair


def _writable(text: str) -> str:
    try:
        text.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError as error:
        raise SourceError(f"{text!r} is no text that can be written: use letters") from error
    return text


def write_message(message: Message) -> str:
    """The text of the tag, with a line break at its end."""
    note = _TO_QUOTE.sub(" ", message.note)
    trailers = "".join(f"{MEASURED}: {name}={value}\n" for name, value in message.measured)
    return f"{note}\n\n{trailers}" if trailers else f"{note}\n"


def read_message(text: str) -> Message:
    """What a mark says, whoever wrote it; a signature is left out. Unknown trailers stay in the note."""
    if signed := _SIGNATURE.search(text):
        text = text[: signed.start()]
    text = re.sub(r"\r\n?", "\n", text).strip("\n")
    above, below = _last_paragraph(text)
    trailers = _trailers(below.split("\n"))
    ours = [_pair(trailer) for trailer in trailers if _is_ours(trailer)]
    if not (above and ours):
        return Message(_unquoted(text))
    others = "\n".join(trailer for trailer in trailers if not _is_ours(trailer))
    note = f"{above}\n\n{others}" if others else above
    return Message(_unquoted(note), tuple(pair for pair in ours if all(pair)))


def _last_paragraph(text: str) -> tuple[str, str]:
    """What stands above it, and the paragraph; nothing above the only one."""
    breaks = list(_PARAGRAPHS.finditer(text))
    return (text[: breaks[-1].start()], text[breaks[-1].end() :]) if breaks else ("", text)


def _trailers(lines: Sequence[str]) -> list[str]:
    """The trailers of a paragraph, each with the lines that continue it; none if there is any other line."""
    found: list[str] = []
    for line in lines:
        if line[:1] in (" ", "\t") and found:
            found[-1] += f" {line.strip()}"
        elif _TRAILER.fullmatch(line):
            found.append(line)
        else:
            return []
    return found


def _is_ours(trailer: str) -> bool:
    return trailer[: len(MEASURED)].lower() == MEASURED.lower() and bool(
        re.match(r"[ \t]*:", trailer[len(MEASURED) :])
    )


def _pair(trailer: str) -> tuple[str, str]:
    name, _, value = trailer.partition(":")[2].partition("=")
    return name.strip(), value.strip()


def _unquoted(note: str) -> str:
    return _QUOTED.sub("", note).strip()
