"""The command `furrowbell` and its parts."""

import sys
from importlib.metadata import version

import click

from service.cli.check import check_command
from service.cli.clockwork import tick_command
from service.cli.demo import demo_command
from service.cli.demo_many import demo_many_command
from service.cli.plan import plan_command
from service.cli.processes import serve_command, web_command, work_command
from service.cli.read import read_command
from service.cli.routes import text_command
from service.cli.staff import staff_command
from service.cli.store import import_command, migrate_command


@click.group(
    commands=[
        plan_command,
        read_command,
        migrate_command,
        import_command,
        serve_command,
        work_command,
        web_command,
        tick_command,
        check_command,
        text_command,
        staff_command,
        demo_command,
        demo_many_command,
    ]
)
@click.version_option(version("furrowbell"), prog_name="furrowbell")
def cli() -> None:
    """Remind growers who feed their crops with stored household urine."""


def main() -> None:
    """Run the command named on the command line."""
    sys.exit(cli.main(standalone_mode=True))


if __name__ == "__main__":
    main()
