"""Every sentence that a person reads stands here, by room, so that it can be mended and translated.

Plain words, short sentences: many readers have another first language. Values go in by name
through ``str.format``.
"""

# Every command --------------------------------------------------------------------------------

WHAT_EXISTS = """\
Heatwright takes your own boards from solder paste to good joints with the heat you have.

The loop:  describe -> measure -> plan -> run -> judge -> refine
Works now: {commands}

The next step: heatwright {next_command}
All commands:  heatwright --help
"""
INTERRUPTED = "Interrupted. Heat is off; what was recorded is kept."
UNEXPECTED = """\
This should not have happened: {error}
Set HEATWRIGHT_TRACEBACK=1 and run it again for the details."""

# Records --------------------------------------------------------------------------------------

RECORDING_STOPPED = (
    "Recording stopped: {path}: {reason}. The run goes on; what was written before is kept."
)
