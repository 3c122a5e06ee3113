#!/usr/bin/env python3
"""Hold locked packages against known vulnerabilities, without a network.

Run: python .ci/audit.py ADVISORIES [LOCK]

ADVISORIES is a folder or a zip file of advisories in the open OSV format (https://ossf.github.io/osv-schema/), one JSON
file each, such as the export for PyPI; bring a new one along on any medium.  LOCK is .ci/lock.txt, made by
``uv pip compile pyproject.toml --extra test --universal --python-version 3.11 --no-header --no-annotate -o .ci/lock.txt``.
The exit status is 1 where a locked version is affected, or nothing could be held against anything.
"""

import json
import re
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from packaging.version import InvalidVersion, Version

LOCKED = re.compile(r"^([A-Za-z0-9._-]+)==([^\s;\\]+)", re.MULTILINE)


def called(name: str) -> str:
    """A package's name as all spellings of it become."""
    return re.sub(r"[-_.]+", "-", name).lower()


def advisories(where: Path) -> Iterator[dict[str, Any]]:
    """Every advisory in a folder or a zip file."""
    if where.is_dir():
        yield from (json.loads(path.read_text("utf-8")) for path in sorted(where.rglob("*.json")))
        return
    with zipfile.ZipFile(where) as packed:
        yield from (json.loads(packed.read(name)) for name in packed.namelist() if name.endswith(".json"))


def is_affected(version: str, affected: dict[str, Any]) -> bool:
    """Whether a version lies in what an advisory says is affected; what cannot be told counts as affected."""
    if version in affected.get("versions", ()):
        return True
    for within in affected.get("ranges", ()):
        if within.get("type") == "GIT":
            continue
        try:
            here, inside = Version(version), False
            for event in within.get("events", ()):
                if "introduced" in event:
                    inside = inside or event["introduced"] == "0" or here >= Version(event["introduced"])
                elif "fixed" in event:
                    inside = inside and here < Version(event["fixed"])
                elif "last_affected" in event:
                    inside = inside and here <= Version(event["last_affected"])
            if inside:
                return True
        except InvalidVersion:
            return True
    return False


def audit(where: Path, lock: Path) -> tuple[list[str], int, int]:
    """What is affected, in sentences; how many advisories were read, and how many packages are locked."""
    locked = [(called(name), version) for name, version in LOCKED.findall(lock.read_text("utf-8"))]
    names = {name for name, _ in locked}
    found, n = [], 0
    for advisory in advisories(where):
        n += 1
        if advisory.get("withdrawn"):
            continue
        for affected in advisory.get("affected", ()):
            package = affected.get("package", {})
            name = called(str(package.get("name", "")))
            if package.get("ecosystem", "PyPI") != "PyPI" or name not in names:
                continue
            found += [
                f"{name} {version}: {advisory.get('id')} {advisory.get('summary', '')}".rstrip()
                for other, version in locked
                if other == name and is_affected(version, affected)
            ]
    return sorted(set(found)), n, len(locked)


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    told, n_read, n_locked = audit(
        Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else Path(__file__).with_name("lock.txt")
    )
    print("\n".join(told))
    print(f"{n_locked} locked packages held against {n_read} advisories: {len(told)} affected")
    sys.exit(1 if told or not n_read or not n_locked else 0)
