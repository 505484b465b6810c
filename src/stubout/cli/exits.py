"""Exit codes and how a fault becomes one clear sentence. `docs/exit-codes.md` is the page."""

from __future__ import annotations

import functools
import os
import signal
import sys
import threading
import traceback
from collections.abc import Callable
from enum import IntEnum
from typing import Any, Final, TypeVar

import typer

from stubout.problems import Fault, JobFileError, StuboutError

F = TypeVar("F", bound=Callable[..., Any])


class Exit(IntEnum):
    """What the program says to the one who called it."""

    CLEAN = 0  # nothing of level STOP or FIX that is not accepted in writing
    FINDINGS = 1  # findings of level STOP or FIX
    INPUT = 2  # the job file, the rule book it names or the arguments are faulty
    BLOCKED = 3  # a part could not be laid out; what could be is written
    OUTPUT = 4  # the files could not be written; nothing was
    PROGRAM = 5  # a fault of the program itself


STOPPED: Final = 130  # broken off by Ctrl-C or SIGTERM, as shells count the first: no verdict on the job


class InputError(StuboutError, ValueError):
    """The arguments of a command are at fault."""


def stop(code: int, message: str, *, as_json: bool = False, faults: list[Fault] | None = None) -> typer.Exit:
    """Say what is wrong, on stderr or as the one JSON error object, and return the exit to raise."""
    if as_json:
        from stubout.export.json_ import error_data, write

        typer.echo(write(error_data(message, faults or [])).decode(), nl=False)
    else:
        typer.echo(message, err=True)
    return typer.Exit(code)


def guarded(command: F) -> F:
    """Turn every exception of a command into a sentence and an exit code, and a request to end into Ctrl-C."""
    return answered(_endable(command))


def _endable(command: F) -> F:
    """Let the system's request to end, SIGTERM, break a command off as Ctrl-C does: what it began is put away first."""

    def broken_off(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    @functools.wraps(command)
    def inner(*args: Any, **kwargs: Any) -> Any:
        ours = threading.current_thread() is threading.main_thread()
        if not ours or signal.getsignal(signal.SIGTERM) is not signal.SIG_DFL:
            return command(*args, **kwargs)
        signal.signal(signal.SIGTERM, broken_off)
        try:
            return command(*args, **kwargs)
        finally:
            signal.signal(signal.SIGTERM, signal.SIG_DFL)

    return inner  # type: ignore[return-value]  # functools.wraps keeps the signature typer reads


def answered(command: F) -> F:
    """Turn every exception of a command into a sentence and an exit code; never a traceback. Signals are its own."""

    @functools.wraps(command)
    def inner(*args: Any, **kwargs: Any) -> Any:
        as_json = bool(kwargs.get("as_json"))
        try:
            return command(*args, **kwargs)
        except JobFileError as fault:
            count = len(fault.faults)
            lead = f"{count} faults in the job file; nothing was done." if count > 1 else ""
            text = "\n".join(filter(None, [*(_told(f) for f in fault.faults), lead]))
            raise stop(Exit.INPUT, text, as_json=as_json, faults=fault.faults) from None
        except BrokenPipeError:
            # The reader of our output has gone, as after `| head`: nobody is left to tell.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise typer.Exit(Exit.OUTPUT) from None
        except OSError as fault:
            raise stop(Exit.OUTPUT, f"stubout: {_disk(fault)} Nothing was written.", as_json=as_json) from None
        except StuboutError as fault:
            raise stop(Exit.INPUT, f"stubout: {_sentence(fault)}", as_json=as_json) from None
        except typer.Exit:
            raise
        except (typer.Abort, KeyboardInterrupt):
            raise stop(STOPPED, "stubout: stopped.", as_json=as_json) from None
        except Exception as fault:
            if os.environ.get("STUBOUT_TRACE"):
                typer.echo(traceback.format_exc(), err=True)
            text = (
                f"stubout: a fault of the program, not of your job: {type(fault).__name__}: {_sentence(fault)} "
                "Nothing was written. Run again with STUBOUT_TRACE=1 set and send what it prints with the job file."
            )
            raise stop(Exit.PROGRAM, text, as_json=as_json) from None

    return inner  # type: ignore[return-value]  # functools.wraps keeps the signature typer reads


def _told(fault: Fault) -> str:
    """Say a fault of the job file; one of the file as a whole has no line."""
    return str(fault) if fault.line else str(fault).replace(":0: file:", ":", 1)


def _disk(fault: OSError) -> str:
    """Say what the disk refused; an OutputError already is a sentence."""
    if isinstance(fault, StuboutError) or not fault.strerror:
        return _sentence(fault)
    return f"{fault.filename}: {fault.strerror.lower()}."


def _sentence(fault: BaseException) -> str:
    text = " ".join(str(fault).split()) or "no more is known"
    return text if text.endswith((".", "?", "!")) else f"{text}."
