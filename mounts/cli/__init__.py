"""The command line: the only place that prints. Data go to stdout, everything else to stderr.

Nothing heavy is imported here or by the commands before they need it: help, lists and errors must come at once.
"""

from __future__ import annotations

import sys
from pathlib import Path

import click

from mounts import __version__
from mounts.cli.adapt import adapt
from mounts.cli.aim import aim
from mounts.cli.build import build
from mounts.cli.card import card
from mounts.cli.check import check
from mounts.cli.coupon import coupon
from mounts.cli.fits import fits
from mounts.cli.help import show_help
from mounts.cli.library import list_library, new, schema
from mounts.cli.match import match
from mounts.cli.survey import survey
from mounts.errors import MountsError

FIRST = """What to do first:

  mounts build linnet-woofer                        make the demo mount and look at out/linnet-woofer/
  mounts card                                       a page to fill in at the door, in the order of measuring
  mounts new panel my-door                          the file that its figures go into
  mounts match my-door                              is it known already, and would a mount that is known go on
  mounts fits my-door                               before you buy: what goes in, and which speakers do
  mounts new speaker my-speaker                     a file to fill in from a data sheet
  mounts new job my-job --panel my-door             which speaker on it (--speaker), and what you want
  mounts survey my-door                             are its holes where you think, and how well is that known
  mounts check my-job                               what fits and what does not, without writing a file
  mounts aim my-job                                 how well it faces the listener, what another tilt would do
  mounts build my-job                               the parts, their pictures, and the papers for the bench
  mounts list                                       what the library holds, yours and what ships with the program

Every command explains itself with --help.
"""


@click.group(invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="mounts")
@click.pass_context
def commands(context: click.Context) -> None:
    """Turns a fabricator's measurements into printable loudspeaker mounts that fit the first time."""
    if context.invoked_subcommand is None:
        click.echo(context.get_help())
        click.echo("\n" + FIRST, nl=False)


commands.add_command(build)
commands.add_command(check)
commands.add_command(adapt)
commands.add_command(card)
commands.add_command(coupon)
commands.add_command(aim)
commands.add_command(match)
commands.add_command(fits)
commands.add_command(survey)
commands.add_command(list_library)
commands.add_command(schema)
commands.add_command(new)
commands.add_command(show_help)


def main() -> None:
    """Runs a command; every foreseen trouble ends as plain text on stderr and an exit code, never as a traceback."""
    try:
        code = commands.main(standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("stopped", err=True)
        code = 130
    except click.ClickException as error:
        error.show()
        if isinstance(error, click.NoSuchOption) and (dashed := [w for w in sys.argv[1:] if _is_dashed_file(w)]):
            click.echo(f"a file whose name begins with a dash is given as ./{dashed[0]}", err=True)
        code = error.exit_code
    except MountsError as error:
        click.echo(str(error), err=True)
        code = error.exit_code
    sys.exit(code if isinstance(code, int) else 0)


def _is_dashed_file(word: str) -> bool:
    return word.startswith("-") and Path(word).is_file()
