"""Start Farstead from its folder: ``python3 start.py`` opens the window, ``start.py --help`` tells the rest.

Standard library only. The first run makes ``.venv`` and fills it with the packages of ``requirements.lock``,
each checked by its hash; a run with the same lock starts at once.
"""

import ctypes
import hashlib
import importlib.util
import os
import subprocess
import sys
from pathlib import Path

if not (3, 11) <= sys.version_info[:2] <= (3, 14):
    found = ".".join(map(str, sys.version_info[:2]))
    print(f"start.py: got Python {found}, need Python 3.11 to 3.14.", file=sys.stderr)
    raise SystemExit(2)

HELP = """\
usage: python3 start.py                        open the window
       python3 start.py SITE                   open the window on a site file
       python3 start.py COMMAND ...            new, check, work, device, turbine, compare, settings, verify,
                                               picture, modules
       python3 start.py COMMAND --help         what a command takes
       python3 start.py test [--fast] [...]    format, lint, types, tests; the rest goes to pytest
       python3 start.py bench                  measured figures against their goals

The first run makes the folder .venv (some 750 MB) from requirements.lock; that needs the network once."""

HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
LOCK = HERE / "requirements.lock"
STAMP = VENV / "farstead.stamp"

WITHOUT_QT = ("new", "check", "work", "device", "turbine", "compare", "settings", "verify", "modules")
QT_LIBRARIES = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libxkbcommon.so.0": "libxkbcommon0",
}
WINDOW_LIBRARIES = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
FONT_FOLDERS = ("/usr/share/fonts", "/usr/local/share/fonts", "~/.fonts", "~/.local/share/fonts")


class Refusal(Exception):
    """What keeps the program from starting, in words for the person who started it."""


def main(args: list[str]) -> int:
    """Prepare what ``args`` need, then run them; returns the exit status (2 where that is impossible)."""
    if args[:1] in (["--help"], ["-h"]):
        print(HELP)
        return 0
    try:
        prepare(args)
    except Refusal as refusal:
        print(f"start.py: {refusal}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("start.py: stopped; the next start goes on with it.", file=sys.stderr)
        return 130
    if args[:1] == ["test"]:
        return test(args[1:])
    if args[:1] == ["bench"]:
        return run("app.bench", args[1:])
    return run("app", args)


def prepare(args: list[str]) -> None:
    """See to a display, the system's libraries and ``.venv``; raises Refusal with what is missing."""
    window = asks_for_window(args)
    if window:
        from app.display import no_display

        sentence = no_display(sys.platform, os.environ)
        if sentence:
            raise Refusal(sentence)
    if sys.platform.startswith("linux") and (window or args[0] not in WITHOUT_QT):
        libraries = QT_LIBRARIES | (WINDOW_LIBRARIES if window and os.environ.get("DISPLAY") else {})
        get_system_packages(missing_packages(libraries))
    if not is_ready():
        make_environment()


def asks_for_window(args: list[str]) -> bool:
    """Nothing, or a site file, in place of a command."""
    return not args or args[0].endswith(".toml") or Path(args[0]).is_file()


# The system's own packages


def missing_packages(libraries: dict[str, str]) -> list[str]:
    """Debian's names of what the loader does not find, and of a font where there is none."""
    missing = [package for library, package in libraries.items() if not is_loadable(library)]
    fonts = (Path(folder).expanduser() for folder in FONT_FOLDERS)
    if not any(path.suffix in (".ttf", ".otf", ".ttc") for folder in fonts for path in folder.rglob("*.*")):
        missing.append("fonts-dejavu-core")
    return missing


def is_loadable(library: str) -> bool:
    """Whether the system's loader finds a shared library of this name."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def get_system_packages(packages: list[str]) -> None:
    """Install Debian packages as root; anyone else is told the one command. Raises Refusal."""
    if not packages:
        return
    names = " ".join(packages)
    if not is_debian():
        raise Refusal(f"the system lacks what Debian calls {names}. Install your system's like.")
    if os.geteuid() != 0:
        raise Refusal(
            f"the system lacks {names}. Install them, then start again:\n    sudo apt-get install -y {names}"
        )
    print(f"start.py: installing {names}", file=sys.stderr)
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    install = ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *packages]
    for command in (["apt-get", "update", "-qq"], install):
        done = subprocess.run(
            command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
    if done.returncode:
        raise Refusal(
            f"apt-get could not install {names}:\n{last_lines(done.stdout)}\n"
            "See to the network, then start again."
        )


def is_debian() -> bool:
    """Debian, Ubuntu or a system made from them."""
    try:
        release = Path("/etc/os-release").read_text(encoding="utf-8")
    except OSError:
        return False
    return "debian" in release or "ubuntu" in release


# The environment


def stamp() -> str:
    """What ``.venv`` is made from: the lock, and the Python that a system upgrade may change under it."""
    return f"{hashlib.sha256(LOCK.read_bytes()).hexdigest()} {PYTHON.resolve().name}\n"


def is_ready() -> bool:
    """Whether ``.venv`` was filled from this lock, to the end."""
    return PYTHON.exists() and STAMP.is_file() and STAMP.read_text(encoding="utf-8") == stamp()


def make_environment() -> None:
    """Make ``.venv`` if it is missing or broken and install the lock into it. Raises Refusal."""
    if importlib.util.find_spec("ensurepip") is None:
        get_system_packages(["python3-venv"])
    print("start.py: filling .venv from requirements.lock, once; this may take minutes.", file=sys.stderr)
    if not (PYTHON.exists() and has_pip()):
        quietly([sys.executable, "-m", "venv", "--clear", str(VENV)], "could not make the folder .venv")
    install = [str(PYTHON), "-m", "pip", "install", "-qq", "--no-input", "--disable-pip-version-check"]
    locked = ["--no-deps", "--only-binary", ":all:", "--require-hashes", "-r", str(LOCK)]
    quietly(install + locked, "pip could not install the packages of requirements.lock")
    STAMP.write_text(stamp(), encoding="utf-8")


def has_pip() -> bool:
    """Whether the interpreter of ``.venv`` starts, is of a version we run on, and has pip."""
    question = "import sys, pip; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 14))"
    return subprocess.run([str(PYTHON), "-c", question], capture_output=True).returncode == 0


def quietly(command: list[str], fault: str) -> None:
    """Run a command without its chatter; if it fails, raise Refusal with the fault and its last lines."""
    try:
        done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    except OSError as error:
        raise Refusal(f"{fault}: {error}.") from None
    if done.returncode:
        raise Refusal(
            f"{fault}:\n{last_lines(done.stdout)}\nSee to the network and the free space on the disk, "
            "then start again; if it fails again, delete the folder .venv first."
        )


def last_lines(text: str) -> str:
    """The end of a command's output, where it says why it failed."""
    return "\n".join(f"    {line}" for line in text.strip().splitlines()[-8:])


# Running


def run(module: str, args: list[str]) -> int:
    """Become a module of the tree, wherever the person stands (a child where the system has no exec)."""
    search = os.pathsep.join(filter(None, (str(HERE), os.environ.get("PYTHONPATH"))))
    command, environment = [str(PYTHON), "-P", "-m", module, *args], {**os.environ, "PYTHONPATH": search}
    if os.name == "posix":
        os.execve(command[0], command, environment)
    return call(command, environment)


def call(command: list[str], environment: dict[str, str], folder: Path | None = None) -> int:
    """Run a command to its end; returns its exit status, 130 where the person stopped it."""
    try:
        return subprocess.run(command, env=environment, cwd=folder).returncode
    except KeyboardInterrupt:
        return 130


def test(args: list[str]) -> int:
    """Format, lint, types, then tests (layers are one of them); the status is 1 if any of them fails."""
    fast = "--fast" in args
    rest = [arg for arg in args if arg != "--fast"]
    environment = {**os.environ, "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen")}
    checks = {
        "format": ["ruff", "format", "--check", "--no-cache", "--quiet", "."],
        "lint": ["ruff", "check", "--no-cache", "--quiet", "."],
        "types": ["mypy", "--no-error-summary"],
    }
    failed = False
    for name, command in checks.items():
        status = call([str(PYTHON), "-m", *command], environment, HERE)
        if status == 130:
            return status
        failed |= status != 0
        print(f"{name}: {'failed' if status else 'clean'}", flush=True)
    workers = [] if any(arg.startswith("-n") for arg in rest) else ["-n", "2"]
    chosen = ["-m", "not slow"] if fast else []
    tests = [str(PYTHON), "-m", "pytest", "-q", *workers, *chosen, *rest]
    return call(tests, environment, HERE) or int(failed)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
