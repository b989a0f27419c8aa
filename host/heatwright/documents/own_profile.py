"""The profile that goes with a paste: its own, or that of its alloy."""

from __future__ import annotations

from pathlib import Path

from heatwright import sentences
from heatwright.documents.library import load_paste, locate, shipped
from heatwright.errors import BadInput, Fault


def own_profile(paste_name: str) -> Path:
    """The shipped profile of this paste, or of its alloy. Raises `BadInput`."""
    paste_at, paste = locate("paste", paste_name), load_paste(paste_name)
    names = shipped("profile")
    if paste_at.stem in names:
        return names[paste_at.stem]
    alloys = shipped("paste")
    try:
        stem = locate("paste", paste.alloy).stem
    except BadInput:
        stem = ""
    if stem in alloys and stem in names:
        return names[stem]
    raise BadInput(
        Fault(
            sentences.NO_OWN_PROFILE.format(paste=paste.name),
            "--profile",
            expected=", ".join(names),
            cure=sentences.NO_OWN_PROFILE_CURE,
        )
    )
