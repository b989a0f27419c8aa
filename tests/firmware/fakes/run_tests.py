"""Runs plain test functions under MicroPython: `micropython run_tests.py MODULE...`.

Prints one JSON object with the names that passed and what each failure said.
"""

import io
import json
import sys


def run(module_names):
    passed = []
    failed = {}
    for module_name in module_names:
        module = __import__(module_name)
        for name in sorted(dir(module)):
            if name.startswith("test_"):
                problem = trouble(getattr(module, name))
                if problem:
                    failed[module_name + "." + name] = problem
                else:
                    passed.append(module_name + "." + name)
    print(json.dumps({"passed": passed, "failed": failed}))


def trouble(function):
    try:
        function()
    except Exception as error:
        text = io.StringIO()
        sys.print_exception(error, text)
        return text.getvalue()
    return ""


run(sys.argv[1:])
