"""Runs the core's suite on any interpreter and prints what ran and what failed, as JSON.

Fails on zero tests: a suite that was not found has not passed.
"""

import json
import os
import sys

HERE = __file__.rsplit("/", 1)[0] if "/" in __file__ else "."


def find():
    names = [name[:-3] for name in os.listdir(HERE) if name.startswith("test_")]
    for module_name in sorted(names):
        module = getattr(__import__("core." + module_name), module_name)
        for name in sorted(dir(module)):
            if name.startswith("test_"):
                yield module_name + "." + name, getattr(module, name)


def run():
    ran, failed = [], []
    for name, test in find():
        ran.append(name)
        try:
            test()
        except Exception as fault:  # any fault of a test is that test's failure
            failed.append([name, repr(fault)])
    print(json.dumps({"ran": ran, "failed": failed}))
    return 1 if failed or not ran else 0


if __name__ == "__main__":
    sys.exit(run())
