"""Two folders change places in one step, where the system can do that."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from pathlib import Path

_AT_FDCWD = -100
_RENAME_EXCHANGE = 1 << 1
# The C library, the kernel or the file system does not know how: renameat2(2), section ERRORS.
_NOT_KNOWN = (errno.ENOSYS, errno.EINVAL, errno.EOPNOTSUPP)


def exchanged(one: Path, other: Path) -> bool:
    """Let two folders of one file system change places; False where the system can't.

    At no moment is either path without a folder: `RENAME_EXCHANGE` of renameat2(2), Linux 3.15.

    Raises
    ------
    OSError
        If the system can, but not with these two: one is not there or holds a file system.
    """
    if sys.platform != "linux":
        return False
    call = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if call is None:
        return False
    paths = (_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other))
    if call(*paths, ctypes.c_uint(_RENAME_EXCHANGE)) == 0:
        return True
    code = ctypes.get_errno()
    if code in _NOT_KNOWN:
        return False
    raise OSError(code, os.strerror(code), str(other))
