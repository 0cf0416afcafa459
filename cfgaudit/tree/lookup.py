"""Which files an include directive means."""

from __future__ import annotations

import posixpath
from collections import deque
from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.listing import DEPTH_AT_MOST, FILES_AT_MOST
from cfgaudit.paths import Pattern, alike, is_backup, is_wild, join
from cfgaudit.source import MissingFile, OutsideRoot, Source, SourceError
from cfgaudit.syntax.document import Include

NOWHERE = ("include-missing", "include-matches-nothing")
SPELLINGS_AT_MOST = 16


class Found(NamedTuple):
    """The files, in order, and the fault if there is one. Both where only the spelling is wrong."""

    files: tuple[str, ...] = ()
    kind: str = ""
    detail: str = ""


class Lookup:
    """Finds files in one source. Listings are kept, so one of these serves one resolution."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._alike: dict[str, dict[str, list[str]]] = {}

    def find(self, including: str, include: Include) -> Found:
        """The files that a directive in the file ``including`` means.

        A back slash counts as a slash only where the path as written leads nowhere.
        """
        target = include.target.strip()
        if not target:
            return Found(kind="include-missing")
        found = self._find(including, target, include)
        if "\\" not in target or found.kind not in NOWHERE:
            return found
        other = self._find(including, target.replace("\\", "/"), include)
        return found if other.kind in NOWHERE else other

    def _find(self, including: str, target: str, include: Include) -> Found:
        path = self._source.locate(join(posixpath.dirname(including), target))
        if is_wild(path) and not self._source.is_file(path):
            return self._several(including, path, include)
        return self._one(including, path, include)

    def _one(self, including: str, path: str, include: Include) -> Found:
        """A path without wild cards."""
        spellings = self._spellings(path)
        written = spellings[0] if spellings and path not in spellings else path
        if self._source.folder(written) is not None:
            found = self._files_in(including, written)
        elif include.folder and self._source.is_file(written):
            return Found(kind="include-matches-nothing", detail=f"{written} is a file, not a folder")
        else:
            found = self._file(written)
        others = [one for one in spellings if one != path]
        clash = bool(others) and bool(found.files) and not found.kind
        return Found(found.files, "include-case", others[0]) if clash else found

    def _file(self, path: str) -> Found:
        """A file, or why it is none: that is what reading it says."""
        if self._source.is_file(path):
            return Found((path,))
        try:
            self._source.read(path)
        except OutsideRoot as error:
            return Found(kind="include-leaves-root", detail=str(error))
        except MissingFile:
            return Found(kind="include-missing")
        except SourceError as error:
            return Found(kind="include-unreadable", detail=str(error))
        return Found((path,))

    def _files_in(self, including: str, folder: str) -> Found:
        names = self._source.folder(folder) or ()
        paths = (join(folder, name) for name in names if not name.startswith(".") and not name.endswith("/"))
        return self._chosen(including, [path for path in paths if not is_backup(path)])

    def _several(self, including: str, pattern: str, include: Include) -> Found:
        """A path with wild cards: files, or the files of every folder that matches if folders are meant."""
        fixed = pattern[: min(pattern.find(wild) for wild in "*?" if wild in pattern)].rpartition("/")[0]
        if fixed and self._source.folder(fixed) is None:
            refused = self._file(fixed)
            if refused.kind == "include-leaves-root":
                return refused
        matched = sorted(self._matches(pattern, fixed, folders=include.folder))
        if not include.folder:
            return self._chosen(including, matched)
        files = (file for folder in matched for file in self._files_in(including, folder).files)
        return self._chosen(including, list(files))

    def _matches(self, pattern: str, fixed: str, *, folders: bool) -> Iterator[str]:
        glob = Pattern(pattern)
        state = glob.start()
        for name in fixed.split("/") if fixed else ():
            state = glob.step(state, name)
        waiting = deque([(fixed, state)])
        seen = 0
        while waiting:
            folder, state = waiting.popleft()
            for name in self._source.folder(folder) or ():
                seen += 1
                if seen > FILES_AT_MOST:
                    return
                path, after = join(folder, name), glob.step(state, name.rstrip("/"))
                is_folder = name.endswith("/")
                if is_folder == folders and glob.complete(after):
                    yield path
                if is_folder and after and path.count("/") < DEPTH_AT_MOST:
                    waiting.append((path, after))

    def _chosen(self, including: str, paths: list[str]) -> Found:
        files = tuple(path for path in paths if path != including)
        if not files:
            return Found(kind="include-matches-nothing")
        seen: dict[str, str] = {}
        for path in files:
            other = seen.setdefault(alike(path), path)
            if other != path:
                return Found(files, "include-case", other)
        return Found(files)

    def _spellings(self, path: str) -> list[str]:
        """Every existing path that a file system blind to case would take for ``path``."""
        found = [""]
        for name in path.split("/"):
            if name == "..":
                found = [join(folder, "..") for folder in found]
                continue
            found = [join(folder, one) for folder in found for one in self._named_alike(folder, name)]
            del found[SPELLINGS_AT_MOST:]
        return [one for one in found if one]

    def _named_alike(self, folder: str, name: str) -> list[str]:
        if folder not in self._alike:
            names: dict[str, list[str]] = {}
            for one in self._source.folder(folder) or ():
                names.setdefault(alike(one.rstrip("/")), []).append(one.rstrip("/"))
            self._alike[folder] = names
        return self._alike[folder].get(alike(name), [])
