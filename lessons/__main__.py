"""`python3 lessons`: sets the kit up where needed and opens the lessons in JupyterLab.

It needs nothing but Python itself. What is installed goes into the folder `.venv` of the checkout;
the learner's copies of the lessons go into a folder of the learner's own.
"""

# An older Python must be able to read this file as far as the message: no newer syntax in it.
import sys

if sys.version_info < (3, 11):
    sys.exit(
        f"Quayside needs Python 3.11 or later; this is Python {sys.version.split()[0]}.\n"
        f"Where: {sys.executable}\n"
        "Try: install a newer Python, and start with its name, such as `python3.12 lessons`."
    )

import argparse
import importlib.util
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from checks.environment import Environment

ROOT = Path(__file__).resolve().parent.parent


def load(name: str) -> ModuleType:
    """Load a file of checks/ that needs the standard library only, though nothing is installed."""
    path = ROOT / "checks" / (name + ".py")
    spec = importlib.util.spec_from_file_location("quayside_" + name, path)
    assert spec is not None and spec.loader is not None
    module = sys.modules[spec.name] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


environment, serving = load("environment"), load("serving")


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line asks for; any trouble is told in three lines."""
    options = read_options(arguments)
    kit = environment.Environment(ROOT)
    try:
        if options.doctor:
            return doctor(kit, options)
        if options.compile:
            kit.ensure(["compile"], strict=True)
            return run(kit, "checks.compile")
        kit.ensure()
        if options.plain:
            return run(kit, "checks.compile", "--plain")
        if options.demo:
            return run(kit, "checks", "demo")
        return open_lessons(kit, options)
    except environment.SetupError as trouble:
        print(f"\n{trouble}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped. Nothing is lost: the same command goes on from here.", file=sys.stderr)
        return 130


def read_options(arguments: Sequence[str] | None) -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(
        prog="python3 lessons", description="Sets Quayside up and opens its lessons."
    )
    default = Path.home() / "quayside-lessons"
    parser.add_argument(
        "--folder",
        type=folder_named,
        default=default,
        metavar="PATH",
        help=f"the learner's folder, for the copies to work in (default: {default})",
    )
    parser.add_argument("--port", type=port_number, metavar="N", help="the port for JupyterLab")
    parser.add_argument("--no-browser", action="store_true", help="print the address, open nothing")
    parser.add_argument("--room", metavar="ADDRESS", help="--doctor tells the class's screen too")
    parser.add_argument("--alias", metavar="NAME", help="what you want to be called in the room")
    parser.add_argument("--password", default="", metavar="WORD", help="the room's password")
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--demo", action="store_true", help="mark a small made-up class and stop")
    what.add_argument("--doctor", action="store_true", help="say what is ready and what is not")
    what.add_argument("--compile", action="store_true", help="make trials quicker, with a compiler")
    what.add_argument("--plain", action="store_true", help="undo --compile")
    options = parser.parse_args(arguments)
    if options.alias and not options.room or options.room and not options.doctor:
        parser.error("--alias goes with --room, and --room with --doctor")
    return options


def folder_named(text: str) -> Path:
    """Read a folder's name; one that begins with ~ and is nobody's home is taken as it is."""
    try:
        return Path(text).expanduser().absolute()
    except RuntimeError:
        return Path(text).absolute()


def port_number(text: str) -> int:
    """Read a port's number."""
    if not (text.isdigit() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is no port: give 1 to 65535")
    return int(text)


def doctor(kit: "Environment", options: argparse.Namespace) -> int:
    """Let the kit examine itself, or, where it is not installed, say as much as can be said."""
    state = kit.state()
    if state is environment.State.READY:
        given = {"--room": options.room, "--alias": options.alias, "--password": options.password}
        words = [word for name, value in given.items() if value for word in (name, value)]
        return run(kit, "checks", "doctor", "--folder", str(options.folder), *words)
    words_of_state = state.name.lower().replace("_", " ")
    print(f"The kit's environment, {kit.folder}, is not ready: {words_of_state}.", flush=True)

    def tell(lacking: Sequence[str]) -> str:
        if options.room is None and not (options.folder / "room.json").is_file():
            return ""
        sys.path.insert(0, str(ROOT))
        from checks.room.join import tell_findings

        lines = [*lacking, "environment"]
        return tell_findings(lines, options.folder, options.room, options.alias, options.password)

    load("doctor").report(options.folder, tell)
    return 1


def run(kit: "Environment", *module_and_arguments: str) -> int:
    """Run one of the kit's modules in its environment."""
    command = [str(kit.python), "-P", "-m"] + list(module_and_arguments)
    return subprocess.call(command, env=kit.variables())


def move_in(module: str, arguments: Sequence[str], extras: Sequence[str] = ()) -> int:
    """Do what a command line asks of one of the kit's modules in the kit's own environment.

    Args:
        module: The module, such as "checks".
        arguments: What was typed behind its name.
        extras: What it needs beyond what all need.

    Returns:
        The exit code.
    """
    kit = environment.Environment(ROOT)
    try:
        kit.ensure(extras)
    except environment.SetupError as trouble:
        print(f"\n{trouble}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    command = [str(kit.python), "-P", "-m", module, *arguments]
    with subprocess.Popen(command, env=kit.variables()) as process:
        return int(serving.wait_for(process))


def open_lessons(kit: "Environment", options: argparse.Namespace) -> int:
    """Lay out the learner's copies, then serve them until stopped."""
    said = serving.taken(options.port)
    if said:
        raise environment.SetupError(**said)
    make_folder(options.folder)
    code = run(kit, "checks", "release", str(options.folder))
    if code:
        return code
    print(f"Opening {options.folder} (to stop: Ctrl-C in this window)", flush=True)
    return serve(kit, options, "/quayside")


def make_folder(folder: Path) -> None:
    """Make the learner's folder, which must lie apart from the lessons' sources."""
    hint = "name a folder of your own: `python3 lessons --folder PATH`."
    if folder.resolve() == ROOT or ROOT in folder.resolve().parents:
        what = "The learner's folder must lie outside the kit, whose updates would mix with it."
        raise environment.SetupError(what, where=str(folder), hint=hint)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / ".quayside-probe"
        probe.touch()
        probe.unlink()
    except OSError as error:
        what = f"The learner's folder cannot be written to: {error.strerror}."
        raise environment.SetupError(what, where=str(error.filename), hint=hint) from error


def serve(kit: "Environment", options: argparse.Namespace, first_page: str) -> int:
    """Run JupyterLab in the learner's folder until it is stopped."""
    command = [str(kit.python), "-P", "-m", "jupyterlab", "--LabApp.default_url=" + first_page]
    pages = ROOT / "checks" / "jupyter" / "pages"
    command.append(f"--ServerApp.extra_template_paths={pages}")
    # A learner's page: with home, and a kernel that knows the kit; without the mentor's tools, and
    # without anything that asks the internet.
    place = str(ROOT / "checks" / "jupyter")
    variables = {**kit.variables(), "JUPYTER_CONFIG_PATH": place, "JUPYTER_PATH": place}
    browser = not options.no_browser
    return int(serving.serve(command, options.folder, variables, options.port, browser))


if __name__ == "__main__":
    # Python leaves its cache here, but every folder of lessons/ is taken for a lesson.
    shutil.rmtree(ROOT / "lessons" / "__pycache__", ignore_errors=True)
    sys.exit(main())
