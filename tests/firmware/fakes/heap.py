"""MicroPython's lock on the heap; on CPython, which has none, nothing."""

try:
    from micropython import heap_lock, heap_unlock
except ImportError:

    def heap_lock():
        pass

    def heap_unlock():
        pass


__all__ = ["heap_lock", "heap_unlock"]
