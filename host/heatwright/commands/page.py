"""``heatwright page``: the page beside the oven, in a browser."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import TYPE_CHECKING

import click

from heatwright import sentences

if TYPE_CHECKING:
    from heatwright.page.server import Setting

EXAMPLES = """\b
Examples:
  heatwright page
  heatwright page --on /dev/ttyACM0
  heatwright page --on sim:toaster --no-browser
  heatwright page --lan        (for a phone on the same bench: look, mark, stop)
"""


@click.command(epilog=EXAMPLES)
@click.option("--on", "on", metavar="sim:NAME|PORT", default="", help="What runs go to.")
@click.option("--http-port", type=click.IntRange(0, 65535), default=8617, show_default=True,
              metavar="N", help="0 takes any free one.")  # fmt: skip
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
@click.option("--lan", is_flag=True, help="Let other devices look; needs the printed token.")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), default=Path("runs"),
              show_default=True, help="Folder of the runs.")  # fmt: skip
@click.option("--documents", "own", type=click.Path(path_type=Path, file_okay=False),
              default=Path("documents"), show_default=True,
              help="Folder of your own documents.")  # fmt: skip
def command(on: str, http_port: int, no_browser: bool, lan: bool, out: Path, own: Path) -> None:
    """Choose, plan, run and judge in a browser; STOP always in the same place."""
    from heatwright.page.server import Setting
    from heatwright.running.named_on import check_on

    if on:
        check_on(on)
    first = {"on": on} if on else {}
    open_page(Setting(out=out, own=own, port=http_port, lan=lan, first=first), not no_browser)


def open_page(setting: Setting, browser: bool) -> None:
    """Serve until Ctrl-C; tells the address, and opens a browser there where asked."""
    from heatwright.page.server import serve

    def ready(address: str) -> None:
        click.echo(sentences.PAGE_AT.format(address=address))
        if setting.lan:
            click.echo(sentences.PAGE_OPEN_TO_ALL)
        click.echo(sentences.PAGE_ENDS)
        if browser:
            click.launch(address)

    serve(setting, secrets.token_urlsafe(9) if setting.lan else "", ready)
