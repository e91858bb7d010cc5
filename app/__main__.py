"""The command ``farstead``: no command opens the window; check, work, verify and the rest print text."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from importlib import import_module
from typing import NoReturn

from app.terminal.exits import BAD_INPUT, PROGRAM_FAILED
from engine.design import FAMILIES

JOB = "Design workbench for off-grid hybrid battery systems: solar, wind and hydro on one battery."
LOOKS = ("light", "dark", "projector")


class Parser(argparse.ArgumentParser):
    """An argument parser whose complaints are one line and exit status 2."""

    def error(self, message: str) -> NoReturn:
        print(f"{self.prog}: {message}. Try: {self.prog} --help", file=sys.stderr)
        raise SystemExit(BAD_INPUT)


def _new(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE")
    parser.add_argument("--rules", choices=FAMILIES, default="nec-2023", metavar="FAMILY")


def _check(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("site", metavar="SITE")
    parser.add_argument("--json", action="store_true")


def _work(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("id", metavar="ID", nargs="?")
    parser.add_argument("inputs", metavar="name=value", nargs="*")
    parser.add_argument("--about", action="store_true", help="formula, inputs, units, ranges, source")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--units", choices=("metric", "us"), default="metric")


def _verify(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", nargs="?")
    parser.add_argument("--json", action="store_true")


def _picture(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("site", metavar="SITE")
    parser.add_argument("--pane", metavar="NAME", required=True)
    parser.add_argument("--piece", metavar="ID")
    parser.add_argument("--size", metavar="WxH", default="1366x768")
    parser.add_argument("--look", choices=LOOKS, default="light")
    parser.add_argument("--set", metavar="name=value", action="append", default=[])
    parser.add_argument("--small", action="store_true", help="256 of its colours: a third of the file")
    parser.add_argument("-o", dest="output", metavar="FILE.png", required=True)


def _modules(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", metavar="WORDS", nargs="+")
    parser.add_argument("--json", action="store_true")


def _device(parser: argparse.ArgumentParser) -> None:
    parser.epilog = (
        'SITE volts="250 V=" amps="63 A" breaking="10 kA" poles=2 polarity=none: a device in each circuit. '
        'Without a site, one typed circuit: isc="14.2 A" strings=3 voltage="187 V" length="40 m" '
        'ambient="58 degC" place=attic.'
    )
    parser.add_argument("words", metavar="SITE | name=value", nargs="*")
    parser.add_argument("--circuit", metavar="ID", help="the circuit that it is meant for")
    parser.add_argument("--list", metavar="FILE.csv", help="an order list, one device a line under a header")
    parser.add_argument("--json", action="store_true")


def _turbine(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("site", metavar="SITE")
    parser.add_argument("--id", metavar="ID", help="the turbine, where the site has more than one")
    parser.add_argument("--load-curve", metavar="FILE.csv", help="save the controller's load curve in force")
    parser.add_argument("--points", metavar="N", type=int, help="points of the computed load curve (12)")
    parser.add_argument("--refine", metavar="LOG.csv", help="propose a better curve: wind, volts and amps")
    parser.add_argument("--cap", metavar="SPEED", help='keep the rotor under this, such as "450 rpm"')
    parser.add_argument("--json", action="store_true")


def _compare(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "The exit status is that of the graver of both designs."
    parser.add_argument("site", metavar="SITE")
    parser.add_argument("other", metavar="OTHER")
    parser.add_argument("--json", action="store_true")


def _settings(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("site", metavar="SITE")
    parser.add_argument("--json", action="store_true")


COMMANDS: dict[str, tuple[str, Callable[[argparse.ArgumentParser], None]]] = {
    "new": ("write a commented starting file", _new),
    "check": ("the verdict on a site: findings worst first, schedules", _check),
    "work": ("list, describe or run a worksheet", _work),
    "device": ("a breaker, fuse or switch in hand against a circuit", _device),
    "turbine": ("a wind or hydro turbine at its site, and a wind turbine's load curve", _turbine),
    "compare": ("one design against another: fields, verdicts, sizes, totals", _compare),
    "settings": ("what to set in each charger and inverter on the day of commissioning", _settings),
    "verify": ("run published cases through the worksheets", _verify),
    "picture": ("save a picture of the window, without a display", _picture),
    "modules": ("find PV modules in the open module table", _modules),
}


def main(argv: list[str] | None = None) -> int:
    """Run one command; returns its exit status, 4 where this program failed."""
    argv = sys.argv[1:] if argv is None else argv
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        if argv and argv[0] in COMMANDS:
            return _command(argv[0], argv[1:])
        return _window(argv)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PROGRAM_FAILED
    except Exception as error:
        where = _place(error)
        print(
            f"farstead: this program failed: {type(error).__name__}: {error} ({where}). "
            "Nothing was written. Please report it with the file that you used.",
            file=sys.stderr,
        )
        return PROGRAM_FAILED


def _command(name: str, argv: list[str]) -> int:
    help_text, describe = COMMANDS[name]
    parser = Parser(prog=f"farstead {name}", description=help_text)
    describe(parser)
    arguments = parser.parse_intermixed_args(argv)
    status: int = import_module(f"app.terminal.{name}").run(arguments)
    return status


def _window(argv: list[str]) -> int:
    names = "\n".join(f"  {name:<9} {text}" for name, (text, _) in COMMANDS.items())
    parser = Parser(
        prog="farstead",
        description=JOB,
        epilog=f"commands (farstead COMMAND --help):\n{names}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("site", metavar="SITE", nargs="?", help="the site file to open in the window")
    arguments = parser.parse_args(argv)
    status: int = import_module("app.run").open_window(arguments.site)
    return status


def _place(error: BaseException) -> str:
    trace = error.__traceback__
    place = "unknown place"
    while trace is not None:
        code = trace.tb_frame.f_code
        place = f"{os.path.basename(code.co_filename)}:{trace.tb_lineno}"
        trace = trace.tb_next
    return place


if __name__ == "__main__":
    raise SystemExit(main())
