# The files of the chip, as store.py wants them. A file is written beside and renamed.

import os

ENOENT = 2
EEXIST = 17


def _make_folder(path: str) -> None:
    try:
        os.mkdir(path)
    except OSError:
        os.stat(path)


class Files:
    def __init__(self, root: str, folders: tuple) -> None:
        self._root = root
        for folder in folders:
            try:
                _make_folder(root + folder)
            except OSError:
                pass  # a worn or full file system: each use of the folder says so itself

    def read(self, path: str) -> bytearray | None:
        if not self._there(path):
            return None
        # One block of the right size: read() alone grows its own by doubling, and a heap is short
        # of large blocks.
        data = bytearray(self._size(path))
        with open(self._root + path, "rb") as file:
            file.readinto(data)
        return data

    def read_part(self, path: str, offset: int, count: int) -> bytes:
        with open(self._root + path, "rb") as file:
            file.seek(offset)
            return file.read(count)

    def replace(self, path: str, data: bytes) -> None:
        beside = path + ".new"
        with open(self._root + beside, "wb") as file:
            file.write(data)
        self.rename(beside, path)

    def append(self, path: str):
        return open(self._root + path, "ab")

    def remove(self, path: str) -> None:
        os.remove(self._root + path)

    def rename(self, old: str, new: str) -> None:
        try:
            os.rename(self._root + old, self._root + new)
        except OSError as error:
            if error.args[0] != EEXIST:
                raise
            # FAT, found on some ESP32 boards, renames onto no existing file.
            os.remove(self._root + new)
            os.rename(self._root + old, self._root + new)

    def list(self, folder: str) -> list:
        # os.ilistdir tells sizes; a laptop's Python has only listdir.
        return [(name, self._size(folder + "/" + name)) for name in os.listdir(self._root + folder)]

    def _size(self, path: str) -> int:
        return os.stat(self._root + path)[6]

    def _there(self, path: str) -> bool:
        try:
            os.stat(self._root + path)
        except OSError as error:
            if error.args[0] == ENOENT:  # the one answer that means "not there"
                return False
            raise
        return True
