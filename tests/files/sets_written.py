"""A set of files, one that replaces it, and what a folder holds."""

from cradle.files.writing import write_all

OLD = {"a.stl": b"old a", "b.stl": b"old b", "c.json": b"old c"}
NEWER = {"a.stl": b"newer a", "b.stl": b"newer b", "c.json": b"newer c"}
NEW = {"a.stl": b"new a" * 1000, "b.stl": b"new b" * 1000, "c.json": b"new c"}


def write(folder, contents):
    return write_all({folder / name: data for name, data in contents.items()})


def contents_of(folder):
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir())}
