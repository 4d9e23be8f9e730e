"""What a process that decodes strangers' files gives up before it opens one.

Limits of CPU time, memory, file size and open files; no core dumps; death with its parent; no
sockets. All of it is possible without privileges. What a system lacks (macOS has neither parent
death signals nor seccomp) is left out there: production runs Linux.
"""

import ctypes
import os
import platform
import resource
import signal
import struct
import sys
from dataclasses import dataclass

_PR_SET_PDEATHSIG = 1  # linux/prctl.h
_PR_SET_NO_NEW_PRIVS = 38
_PR_SET_SECCOMP = 22
_SECCOMP_MODE_FILTER = 2

# Classic BPF, linux/filter.h and linux/bpf_common.h.
_LOAD_WORD = 0x20  # BPF_LD | BPF_W | BPF_ABS
_JUMP_EQUAL = 0x15  # BPF_JMP | BPF_JEQ | BPF_K
_RETURN = 0x06  # BPF_RET | BPF_K
_ALLOW = 0x7FFF0000  # SECCOMP_RET_ALLOW
_REFUSE = 0x00050000 | 13  # SECCOMP_RET_ERRNO | EACCES
_OFFSET_NUMBER, _OFFSET_ARCHITECTURE = 0, 4  # struct seccomp_data

# (AUDIT_ARCH_*, number of socket(2)) from linux/audit.h and the tables of system calls.
_SOCKET_CALLS = {"x86_64": (0xC000003E, 41), "aarch64": (0xC00000B7, 198)}

_GRACE_CPU_S = 5
_OPEN_FILES = 256


@dataclass(frozen=True, slots=True)
class Limits:
    """CPU seconds, bytes of private memory, and bytes of any one file written."""

    cpu_s: int
    memory_bytes: int
    file_bytes: int = 2 * 1024**3


def confine(limits: Limits, *, parent_pid: int) -> None:
    """Apply everything to this process, for good. Call before threads are started.

    Ends the process at once when ``parent_pid`` is no longer its parent.
    """
    die_with_parent(parent_pid)
    _limit(resource.RLIMIT_CPU, limits.cpu_s, limits.cpu_s + _GRACE_CPU_S)
    # Not RLIMIT_AS: that counts address space that is only reserved (thread stacks, arenas,
    # mapped libraries), several times what is used. RLIMIT_DATA counts private writable memory.
    _limit(resource.RLIMIT_DATA, limits.memory_bytes, limits.memory_bytes)
    _limit(resource.RLIMIT_FSIZE, limits.file_bytes, limits.file_bytes)
    _limit(resource.RLIMIT_NOFILE, _OPEN_FILES, _OPEN_FILES)
    _limit(resource.RLIMIT_CORE, 0, 0)
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # a write then fails with EFBIG
    refuse_sockets()


def die_with_parent(parent_pid: int) -> None:
    """Have the kernel kill this process when its parent (the thread that made it) ends."""
    if sys.platform == "linux":
        _prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent_pid:  # it died before the line above
        os._exit(1)


def refuse_sockets() -> bool:
    """Make ``socket(2)`` fail with EACCES in this process from now on.

    Returns whether the kernel agreed. Pipes and ``socketpair`` still work. No code path of the
    measuring opens a socket; this holds for the paths nobody thought of.
    """
    known = _SOCKET_CALLS.get(platform.machine())
    if sys.platform != "linux" or known is None:
        return False
    program = ctypes.create_string_buffer(_filter(*known))
    count = len(program.raw) // 8
    header = struct.pack("HL", count, ctypes.addressof(program))  # struct sock_fprog
    try:
        _prctl(_PR_SET_NO_NEW_PRIVS, 1)
        _prctl(_PR_SET_SECCOMP, _SECCOMP_MODE_FILTER, ctypes.create_string_buffer(header))
    except OSError:
        return False
    return True


def _filter(architecture: int, socket_number: int) -> bytes:
    """Six instructions: another architecture's calls and ``socket`` are refused, the rest pass."""
    return b"".join(
        struct.pack("HBBI", *instruction)
        for instruction in (
            (_LOAD_WORD, 0, 0, _OFFSET_ARCHITECTURE),
            (_JUMP_EQUAL, 0, 3, architecture),
            (_LOAD_WORD, 0, 0, _OFFSET_NUMBER),
            (_JUMP_EQUAL, 1, 0, socket_number),
            (_RETURN, 0, 0, _ALLOW),
            (_RETURN, 0, 0, _REFUSE),
        )
    )


def _limit(which: int, soft: int, hard: int) -> None:
    ceiling = resource.getrlimit(which)[1]
    if ceiling != resource.RLIM_INFINITY:
        soft, hard = min(soft, ceiling), min(hard, ceiling)
    resource.setrlimit(which, (soft, hard))


def _prctl(option: int, *arguments: object) -> None:
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.prctl(option, *arguments, 0, 0, 0) != 0:
        number = ctypes.get_errno()
        raise OSError(number, os.strerror(number))
