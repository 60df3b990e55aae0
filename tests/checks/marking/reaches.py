"""Reaches: what a program tries once it has found its way out of the board's modules.

Each row is a name, the layers that hold it (any one of them does), and what is tried: a line or a
few of plain Python, with the interpreter's own `os` and `real` for its `__import__`.  What comes
to its end without an exception has got through.

The layers are those of `robotsim.board.confine`, and `guard`, the audit hook in the boot file.
What a computer has of them makes a column of the table in SAFETY.md.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["COLUMNS", "REACHES", "Reach", "page", "program_of"]

COLUMNS: dict[str, frozenset[str]] = {
    "full": frozenset({"guard", "limits", "files", "calls", "sight", "network"}),
    "container": frozenset({"guard", "limits", "files", "calls"}),
    "no Landlock": frozenset({"guard", "limits", "calls"}),
    "guard alone": frozenset({"guard"}),
}
"""A kind of computer, in words, to the layers that it has."""


class Reach(NamedTuple):
    """Something that is tried."""

    name: str
    held_by: frozenset[str]
    text: str

    def contained(self, column: str) -> bool:
        """Whether it is kept from getting through where there are a column's layers."""
        return bool(self.held_by & COLUMNS[column])


def _rows(*layers: str, **tried: str) -> list[Reach]:
    return [Reach(name.replace("_", "-"), frozenset(layers), text) for name, text in tried.items()]


def _past(tried: str) -> str:
    """Give the text of what is tried while the guard cannot tell a number from anything else."""
    return (
        "there = _found['builtins']\nkept, there.isinstance = there.isinstance, lambda *_: False\n"
        f"try:\n    {tried}\nfinally:\n    there.isinstance = kept"
    )


REACHES = [
    # -- files that are none of its business
    *_rows(
        "files",
        read_a_file="os.open(SECRET, os.O_RDONLY)",
        read_by_io='real("_io").FileIO(SECRET).read(9)',
        read_as_code='real("_io").open_code(SECRET).read(9)',
        read_as_lines='assert real("linecache").getlines(SECRET)',
        read_as_tokens='real("tokenize").open(SECRET).read(9)',
        read_by_a_loader='real("zipimport")\n'
        "from_loader = sys.modules['importlib.machinery'].SourceFileLoader('x', SECRET)\n"
        "assert from_loader.get_data(SECRET)",
        read_a_database='base = real("sqlite3").connect(DATABASE)\n'
        'assert base.execute("select points from scores").fetchall()',
        read_the_kit='os.open(KIT + "/checks/judge.py", os.O_RDONLY)',
        read_a_lesson='os.open(KIT + "/lessons/lamps.md", os.O_RDONLY)',
        read_the_accounts='os.open("/etc/passwd", os.O_RDONLY)',
        read_the_hosts_surroundings='os.open("/proc/%d/environ" % HOST, os.O_RDONLY)',
        read_the_hosts_memory='os.open("/proc/%d/mem" % HOST, os.O_RDONLY)',
        read_its_own_maps='os.open("/proc/self/maps", os.O_RDONLY)',
        list_a_folder="os.listdir(FOLDER)",
        scan_the_root='next(os.scandir("/home"), None)',
        walk_up='os.listdir("/proc/1/fd")',
        name_a_shared_memory='real("_posixshmem").shm_open("/quayside-reach", '
        "os.O_RDWR | os.O_CREAT, mode=384)",
        open_a_terminal="os.openpty()",
        open_raw_memory='os.open("/dev/mem", os.O_RDONLY)',
    ),
    *_rows(
        "files", "calls", "guard",
        remove_a_file="os.remove(SPARE)",
        rename_a_file='os.rename(SPARE, SPARE + ".old")',
        link_a_file='os.link(SPARE, SPARE + ".link")',
        point_at_a_file='os.symlink(SPARE, SPARE + ".soft")',
        make_a_folder='os.mkdir(FOLDER + "/made")',
        cut_a_file="os.truncate(SPARE, 0)",
        open_a_file_to_all="os.chmod(SPARE, 511)",
        give_a_file_away="os.chown(SPARE, 1, 1)",
        start_a_shell='os.execv("/bin/sh", ["sh", "-c", "true"])',
    ),
    *_rows(
        "files",
        write_past_the_guard=_past('os.open(FOLDER + "/written", os.O_WRONLY | os.O_CREAT)'),
        append_past_the_guard=_past("os.open(SPARE, os.O_WRONLY | os.O_APPEND)"),
        make_a_database='real("sqlite3").connect(FOLDER + "/new.db").execute("create table t (a)")',
    ),
    *_rows("files", "calls", make_a_pipe_on_disk='os.mkfifo(FOLDER + "/pipe")'),
    # -- what no rule about files covers
    *_rows(
        "sight",
        ask_a_files_size="assert os.stat(SECRET).st_size > 0",
        ask_whether_it_is_there="assert os.path.exists(KIT + '/lessons')",
        ask_who_has_it="os.lstat(DATABASE).st_uid",
        ask_for_the_newest="assert os.path.getmtime(FOLDER)",
    ),
    *_rows(
        "calls",
        touch_a_file="os.utime(SPARE, (1, 1))",
        label_a_file='os.setxattr(SPARE, "user.quay", b"1")',
        ask_for_the_disks_room="os.statvfs(FOLDER)",
        # -- other processes
        start_a_program_below_the_guard='real("_posixsubprocess").fork_exec(\n'
        '    [b"/bin/true"], [b"/bin/true"], True, (), None, None, -1, -1, -1, -1, -1, -1,\n'
        "    *os.pipe(), True, False, -1, None, None, None, -1, None, False)",
        ask_for_its_host="assert os.getppid() > 1",
        ask_for_a_group="os.getpgid(1)",
        ask_for_a_session="os.getsid(1)",
        ask_for_anothers_cores="os.sched_getaffinity(1)",
        ask_for_anothers_rank="os.getpriority(os.PRIO_PROCESS, 1)",
        hold_another_process="os.pidfd_open(HOST)",
        signal_by_a_handle='real("signal").pidfd_send_signal(os.pidfd_open(HOST), 0)',
        rank_itself_lower="os.nice(1)",
        choose_its_cores="os.sched_setaffinity(0, {0})",
        begin_a_session="os.setsid() if os.getpid() != os.getsid(0) else None",
        become_somebody_else="os.setresuid(-1, -1, -1)",
        leave_its_groups="os.getgroups()",
        set_the_clock="times = real('time')\ntry:\n    times.clock_settime(0, -1)\n"
        "except OSError as fault:\n    assert fault.errno != 38",  # known, and the time refused
        set_an_alarm='real("signal").setitimer(0, 99)',
        make_a_file_in_memory='os.memfd_create("quay")',
        make_an_event="os.eventfd(0)",
        make_a_pipe="os.pipe()",
        copy_between_files="os.copy_file_range(0, 1, 0)",
        mask_its_files="os.umask(0)",
    ),
    *_rows(
        "calls", "guard",
        fork="os.fork() or os._exit(0)",
        spawn='os.posix_spawn("/bin/true", ["true"], {})',
        start_a_thread='real("_thread").start_new_thread(print, ())',
        signal_its_host="os.kill(HOST, 0)",
        have_its_host_signalled='real("fcntl").fcntl(1, 8, HOST)',
        call_foreign_code='real("ctypes").CDLL(None)',
    ),
    *_rows("network", "calls", "guard", open_a_socket='real("_socket").socket()'),
    *_rows(
        "limits", "guard",
        fill_the_memory="bytearray(700 * 1024 * 1024)",
    ),
    *_rows(
        "calls", "files", "limits",
        raise_its_limits='many = real("resource")\n'
        "many.setrlimit(many.RLIMIT_NOFILE, (1 << 19, 1 << 19))",
    ),
]  # fmt: skip

_REACH = """\
import sys
def _reach():
    return {name: value for name, value in print.__globals__.items() if type(value) is type(sys)}
_found = _reach()
os = _found["os"]
sys = _found["sys"]
real = _found["builtins"].__import__
"""


def program_of(*reaches: Reach, **names: object) -> str:
    """Give a program that tries them one after the other, and says of each if it got through."""
    rows = [_REACH, *(f"{name} = {value!r}" for name, value in names.items())]
    for reach in reaches:
        tried = "\n".join(f"    {line}" for line in reach.text.split("\n"))
        rows.append(
            f"try:\n{tried}\nexcept BaseException as fault:\n"
            f'    print("{reach.name}: kept out", repr(fault)[:150])\n'
            f'else:\n    print("{reach.name}: GOT THROUGH")'
        )
    return "\n".join(rows) + "\n"


def page() -> str:
    """Give the table of SAFETY.md: what is tried, and on which kind of computer it is kept in."""
    rows = ["| what is tried | " + " | ".join(COLUMNS) + " |", "| --- |" + " --- |" * len(COLUMNS)]
    for reach in sorted(REACHES):
        marks = ("kept in" if reach.contained(column) else "gets through" for column in COLUMNS)
        rows.append(f"| {reach.name.replace('-', ' ')} | " + " | ".join(marks) + " |")
    return "\n".join(rows)
