# Verbs about what is kept here: plans, the logs of runs, the configuration. Never asked for with a
# plan armed or running, so they are loaded when asked for and let go at arming (on_demand.py).

from heatcore.plan import BYTES_MAX

from . import on_demand
from .store import good_id

# With quotes escaped, and its frame, this stays within one line.
LOG_PIECE = 100
BAD = ("bad_arguments", "see the link's table of verbs")
NOT_KEPT = ("not_kept", "the file system took no plan")


def plans(verbs, words: list) -> list | tuple:
    index = words[0] if words else 0
    ids = verbs.store.plans()
    if type(index) is not int or index < 0:
        return BAD
    if index >= len(ids):
        return [len(ids)]
    on_demand.make_room()
    data = verbs.store.plan(ids[index]) or b""
    return [len(ids), ids[index], _name(data), len(data)]


def _name(data: bytes) -> str:
    found, _ = on_demand.read_plan(data)
    return "damaged" if found is None else found.name


def put(verbs, words: list) -> list | tuple:
    if len(words) != 3 or not _are_whole(words[:2]) or type(words[2]) is not str:
        return BAD
    offset, total, piece = words[0], words[1], words[2].encode()
    if not 0 <= offset < total <= BYTES_MAX or not 0 < len(piece) <= total - offset:
        return ("bad_size", "a plan has at most {} bytes".format(BYTES_MAX))
    if offset not in (0, verbs.have):
        return ("gap", "send the piece at {}".format(verbs.have))
    if not verbs.store.take_piece(offset, piece):
        return NOT_KEPT
    verbs.have = offset + len(piece)
    return [verbs.have] if verbs.have < total else _keep_plan(verbs, total)


def _keep_plan(verbs, total: int) -> list | tuple:
    verbs.have = 0
    on_demand.make_room()
    found, trouble = on_demand.read_plan(verbs.store.incoming())
    if found is None:
        return ("bad_plan", trouble[:120])
    if not verbs.store.keep_incoming(found.id):
        return NOT_KEPT
    return [total, found.id]


def remove(verbs, words: list) -> list | tuple:
    if len(words) != 1 or not good_id(words[0]):
        return BAD
    if not verbs.store.remove_plan(words[0]):
        return ("no_plan", "no such plan is kept here")
    return []


def log(verbs, words: list) -> list | tuple:
    if not words:
        return [verbs.store.runs()]
    if len(words) != 2 or not _are_whole(words) or words[0] < 1 or words[1] < 0:
        return BAD
    piece = verbs.store.read_run(words[0], words[1], LOG_PIECE)
    if piece is None:
        return ("no_run", "no such run is kept here")
    return [words[1] + len(piece), _printable(piece)]


def _printable(piece: bytes) -> str:
    # A worn flash may hold anything; a log holds plain text.
    return "".join([chr(byte) if 10 <= byte < 127 else "?" for byte in piece])


def _are_whole(words: list) -> bool:
    return all([type(word) is int for word in words])


TABLE = {"plans": plans, "put": put, "remove": remove, "log": log}
