"""The command line: check, build, preview and begin."""

from __future__ import annotations

import os
import signal
import sys
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn, TypeVar

import typer

from reportgen.cli.progress import progress
from reportgen.errors import (
    CampaignError,
    Problem,
    ReportgenError,
    Severity,
    SiteError,
    one_line,
)

if TYPE_CHECKING:
    from reportgen.cli.reports import BuildReport

T = TypeVar("T")

EXIT_PROBLEM = 1
EXIT_INTERRUPTED = 130
DEBUG = "REPORTGEN_DEBUG"

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # drawn help takes as long to load as all else
    help="Turns the folder of a radio field campaign into an offline report.",
)

Campaign_ = Annotated[
    Path, typer.Argument(metavar="CAMPAIGN", help="Folder that holds campaign.yaml.")
]
Strict = Annotated[
    bool, typer.Option("--strict", help="End with 1 on a warning, too.")
]  # fmt: skip


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", help="Print the version and stop.", is_eager=True)
    ] = False,
) -> None:
    if version:
        import reportgen  # noqa: PLC0415 - keeps --help quick

        typer.echo(f"reportgen {reportgen.__version__}")
        raise typer.Exit


@app.command()
def build(
    campaign: Campaign_,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="SITE",
            help="Folder of the site; CAMPAIGN-site beside the campaign if left out.",
        ),
    ] = None,
    strict: Strict = False,
) -> None:
    """Read a campaign and build its site.

    The old site, if it is one of ours, is replaced in one step once the new one is whole.
    """
    from reportgen.cli.building import build_report  # noqa: PLC0415 - keeps --help quick

    campaign = _folder_of(campaign)
    with progress(sys.stderr) as step:
        report = _guarded(
            lambda: build_report(campaign, out or _beside(campaign), step, strict=strict)
        )
    _print_problems(report.problems, full=False)
    if report.index is None:
        _stop("no site was built: there are warnings, and --strict was asked for")
    if report.remark:
        typer.echo(f"\n{report.remark}", err=True)
    typer.echo(f"Open {report.index}")


@app.command()
def preview(
    campaign: Campaign_,
    port: Annotated[
        int, typer.Option(min=1, max=65535, help="Port to serve on; the next free one if taken.")
    ] = 8000,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")
    ] = True,
) -> None:
    """Show the site in the browser and build it again whenever the campaign changes.

    Served to this computer alone, from a folder that is gone afterwards; no site of yours is
    touched. What can't be built leaves the last good site shown. Ctrl-C ends it.
    """
    from reportgen.cli.preview import keep_previewing  # noqa: PLC0415 - keeps --help quick
    from reportgen.site.preview_server import PreviewServer  # noqa: PLC0415

    folder = _folder_of(campaign)
    if not folder.is_dir():
        _stop(f"{folder} is no folder; name the folder that holds campaign.yaml")

    def ready(server: PreviewServer) -> None:
        if server.port != port:
            typer.echo(f"port {port} is taken: this is on {server.port}", err=True)
        typer.echo(f"Preview at {server.address}")
        typer.echo("Ctrl-C ends it.", err=True)
        if browser:
            webbrowser.open(server.address)

    _be_ended_by_signals()
    _guarded(
        lambda: keep_previewing(
            folder, lambda site: _previewed(folder, site), first_port=port, ready=ready
        )
    )


def _previewed(campaign: Path, site: Path) -> str:
    """Build once for the preview, print what there is to say, and return what stopped it."""
    from reportgen.cli.building import build_report  # noqa: PLC0415 - as above

    told: list[str] = []

    def work() -> BuildReport:
        try:
            with progress(sys.stderr) as step:
                return build_report(campaign, site, step, strict=False)
        except Exception as error:
            told.append(str(error) or type(error).__name__)
            raise

    try:
        report = _guarded(work)
    except typer.Exit as ended:
        if ended.exit_code == EXIT_INTERRUPTED:
            raise
        typer.echo("The last good site stays; waiting for a change of the campaign.", err=True)
        return "".join(told)
    _print_problems(report.problems, full=False)
    typer.echo("The site is built.", err=True)
    return ""


def _be_ended_by_signals() -> None:
    """Let a closed terminal and a polite kill clean up as Ctrl-C does."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.default_int_handler)


@app.command()
def check(campaign: Campaign_, strict: Strict = False) -> None:
    """Read everything, write nothing, and print what was understood.

    Columns, zones, units, stations, walks, the match of each photo, and every problem with what
    to do about it.
    """
    from reportgen.cli.checking import check_campaign  # noqa: PLC0415 - keeps --help quick

    with progress(sys.stderr) as step:
        report = _guarded(lambda: check_campaign(_folder_of(campaign), step))
    for line in report.lines:
        typer.echo(one_line(line))
    _print_problems(report.problems, full=True)
    worst = {problem.severity for problem in report.problems}
    if Severity.ERROR in worst or (strict and Severity.WARNING in worst):
        raise typer.Exit(EXIT_PROBLEM)


@app.command()
def begin(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Folder of logs, tracks and photos.")
    ],
    from_example: Annotated[
        bool, typer.Option("--from-example", help="Copy the example campaign there instead.")
    ] = False,
) -> None:
    """Look at a folder and write a starter description into it, never over a file.

    Writes campaign.yaml with what could be worked out and gaps marked FILL IN, the schema that
    lets an editor complete it, the list of its keys, and questions for your conclusions.
    """
    from reportgen.cli.beginning import begin_campaign  # noqa: PLC0415 - keeps --help quick

    is_new = not folder.exists()
    written = _guarded(lambda: begin_campaign(folder, from_example=from_example))
    for path in written:
        typer.echo(path)
    if from_example:
        typer.echo(f"Next: reportgen build {folder}", err=True)
        return
    if is_new:
        typer.echo(f"{folder} was not there, so a new folder was made: put your logs into it, "
                   "delete campaign.yaml and begin again", err=True)  # fmt: skip
    typer.echo(
        f"Next: fill the gaps in {folder / 'campaign.yaml'}, then: reportgen check {folder}",
        err=True,
    )


def _folder_of(campaign: Path) -> Path:
    """Return the folder, also where somebody names the description in it."""
    return campaign.parent if campaign.name == "campaign.yaml" else campaign


def _beside(campaign: Path) -> Path:
    """Return where the site of a campaign goes if nobody says where."""
    folder = campaign.resolve()
    if not folder.name:
        raise SiteError(f"{folder} is no campaign folder; name one")
    return folder.with_name(f"{folder.name}-site")


def _guarded(work: Callable[[], T]) -> T:
    """Run a piece of work; whatever goes wrong ends in a message and an exit code."""
    try:
        return work()
    except typer.Exit:
        raise
    except CampaignError as error:
        _print_problems(error.problems, full=True)
        raise typer.Exit(EXIT_PROBLEM) from None
    except ReportgenError as error:
        _stop(str(error))
    except OSError as error:
        _stop(
            f"{error.filename or error}: {error.strerror or type(error).__name__}; check that it "
            "is there and that you may read and write it"
        )
    except KeyboardInterrupt:
        typer.echo("interrupted; nothing was left half done", err=True)
        raise typer.Exit(EXIT_INTERRUPTED) from None
    except Exception as error:
        if os.environ.get(DEBUG):
            raise
        _stop(
            f"a fault of reportgen itself: {type(error).__name__}: {error}\n"
            f"Nothing was changed. Report it; with {DEBUG}=1 set it shows where it happened."
        )


def _stop(message: str) -> NoReturn:
    typer.echo(message, err=True)
    raise typer.Exit(EXIT_PROBLEM)


def _print_problems(problems: tuple[Problem, ...], *, full: bool) -> None:
    for problem in problems:
        if full or problem.severity is not Severity.NOTE:
            typer.echo(f"\n{problem}", err=True)
    counts = [
        f"{count} {severity}{'' if count == 1 else 's'}"
        for severity in Severity
        if (count := sum(problem.severity is severity for problem in problems))
    ]
    if counts:
        typer.echo(f"\n{', '.join(counts)}", err=True)


def main() -> None:
    """Run the command line."""
    app()
