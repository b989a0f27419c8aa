"""Installed as a checkout, as a wheel and as a wheel made from the sdist, all files are found."""

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

from heatwright import assets

CHECKOUT = Path(__file__).resolve().parents[3]

# Run with the unpacked wheel first on the path: prints which copy runs, and what it finds.
FIND = """
from heatwright import assets
from heatwright.documents import load_board, load_parts, shipped
from heatwright.documents.schema import MODELS
print(assets.__file__)
for kind in MODELS:
    print(kind, *shipped(kind))
load_parts(load_board("bat-logger"))
print(*sorted(path.name for path in assets.device().glob("*.py")))
print((assets.firmware_package("heatcore") / "loop.py").is_file())
"""
BUILD = """
import sys
from hatchling.build import build_sdist, build_wheel
print({"sdist": build_sdist, "wheel": build_wheel}[sys.argv[1]](sys.argv[2]))
"""


def python(code, *arguments, path, cwd):
    environment = os.environ | {"PYTHONPATH": str(path)}
    command = [sys.executable, "-c", code, *map(str, arguments)]
    run = subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    return run.stdout.splitlines()


def what_is_found(path, cwd):
    copy, *found = python(FIND, path=path, cwd=cwd)
    return Path(copy), found


@pytest.fixture(scope="module")
def backend(tmp_path_factory):
    """The build backend that pyproject.toml names, in a folder of its own."""
    folder = tmp_path_factory.mktemp("backend")
    options = ["--quiet", "--disable-pip-version-check", "--target", str(folder)]
    subprocess.run(
        [sys.executable, "-m", "pip", "install", *options, "hatchling>=1.27"], check=True
    )
    return folder


@pytest.fixture(scope="module")
def wheel_of_checkout(backend, tmp_path_factory):
    return unpacked_wheel(CHECKOUT, backend, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def wheel_of_sdist(backend, tmp_path_factory):
    folder = tmp_path_factory.mktemp("sdist")
    *_, name = python(BUILD, "sdist", folder, path=backend, cwd=CHECKOUT)
    with tarfile.open(folder / name) as archive:
        archive.extractall(folder, filter="data")
    return unpacked_wheel(folder / name.removesuffix(".tar.gz"), backend, folder)


def unpacked_wheel(source, backend, folder):
    *_, name = python(BUILD, "wheel", folder, path=backend, cwd=source)
    with zipfile.ZipFile(folder / name) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def test_a_checkout_is_found():
    assert assets.profiles() == CHECKOUT / "profiles"
    assert assets.device() == CHECKOUT / "firmware" / "device"
    assert assets.firmware_package("heatcore") == CHECKOUT / "firmware" / "heatcore"


def test_a_package_that_is_none_is_said():
    with pytest.raises(FileNotFoundError, match="heatcrore is not installed"):
        assets.firmware_package("heatcrore")


@pytest.mark.parametrize("wheel", ["wheel_of_checkout", "wheel_of_sdist"])
def test_a_wheel_finds_what_the_checkout_finds(wheel, request, tmp_path):
    site = request.getfixturevalue(wheel)
    copy, found = what_is_found(site, tmp_path)
    assert copy == site / "heatwright" / "assets.py"
    copy, found_in_checkout = what_is_found("", tmp_path)
    assert copy == CHECKOUT / "host" / "heatwright" / "assets.py"
    assert found == found_in_checkout
