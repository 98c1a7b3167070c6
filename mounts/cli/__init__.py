"""The command line: the only place that prints. Data go to stdout, everything else to stderr.

Nothing heavy is imported here or by the commands before they need it: help, lists and errors must come at once.
"""

from __future__ import annotations

import gc
import os
import signal
import sys
from pathlib import Path

import click

from mounts import __version__
from mounts.cli.adapt import adapt
from mounts.cli.aim import aim
from mounts.cli.build import build
from mounts.cli.check import check
from mounts.cli.coupon import coupon
from mounts.cli.fits import fits, match
from mounts.cli.library import list_library, new, schema, show_help
from mounts.cli.outcome import outcome
from mounts.cli.start import start
from mounts.cli.survey import card, survey
from mounts.errors import MountsError

FIRST = """Your first door:

  mounts card                  print it, and fill it in at the door
  mounts new panel my-door     copy the card into this file
  mounts survey my-door        are the holes where you think they are?
  mounts fits my-door          which speakers go in? Choose one:
  mounts start my-door demo-woofer-130 --name my-job
                               writes a job that keeps everything, and builds it
  mounts build my-job          again, when you changed something

To see a finished one first: mounts build linnet-woofer
All commands: mounts --help. One of them: mounts build --help
"""


@click.group(
    invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"], "show_default": True}
)
@click.version_option(__version__, prog_name="mounts")
@click.pass_context
def commands(context: click.Context) -> None:
    """Turn your measurements into printable loudspeaker mounts that fit the first time."""
    if context.invoked_subcommand is None:
        click.echo(FIRST, nl=False)


commands.add_command(start)
commands.add_command(build)
commands.add_command(check)
commands.add_command(adapt)
commands.add_command(card)
commands.add_command(coupon)
commands.add_command(outcome)
commands.add_command(aim)
commands.add_command(match)
commands.add_command(fits)
commands.add_command(survey)
commands.add_command(list_library)
commands.add_command(schema)
commands.add_command(new)
commands.add_command(show_help)


def main() -> None:
    """Run a command; what goes wrong ends as plain text on stderr and an exit code, never as a traceback.

    The stop key ends the process by the system itself, since Python hears it only between two of its own steps, and one
    step of a kernel may last many seconds. What is written meanwhile is as after any other end: the next run settles
    it.
    """
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: our matrices are small, more threads only wait
    gc.set_threshold(50_000)  # next to nothing that a command makes is garbage; looking for it took 3 % of a build
    try:
        code = commands.main(standalone_mode=False)
    except click.exceptions.Abort:  # the end of the input at a question
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
    except PermissionError as error:  # ezdxf looks for settings of its own when it is imported
        what = "permission denied; let HOME or XDG_CONFIG_HOME name a folder that you may read"
        click.echo(f"{error.filename}: {what}", err=True)
        code = 2
    except Exception as error:  # a fault of this program: its place is what helps to mend it
        import traceback

        *_, place = traceback.extract_tb(error.__traceback__)
        where = f"{Path(place.filename).name}:{place.lineno}"
        click.echo(f"this program has a fault, {type(error).__name__} at {where}: {error}", err=True)
        click.echo("nothing was left half-written; report it with the files that you gave", err=True)
        code = MountsError.exit_code
    sys.exit(code if isinstance(code, int) else 0)


def _is_dashed_file(word: str) -> bool:
    return word.startswith("-") and Path(word).is_file()
