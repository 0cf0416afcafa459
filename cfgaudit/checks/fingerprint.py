"""What stays of a finding when lines move: a digest of its rule and of the names it is about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from hashlib import blake2b


def number_fingerprints(identities: Iterable[tuple[str, str]]) -> Iterator[str]:
    """A fingerprint for each (rule, subject): sixteen hexadecimal digits, equal ones numbered."""
    met: Counter[str] = Counter()
    for rule, subject in identities:
        digest = blake2b(f"{rule}\0{subject}".encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()
        met[digest] += 1
        yield digest if met[digest] == 1 else f"{digest}-{met[digest]}"
