"""Moves rows from used to set aside in the accounts, after the files were read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pandas as pd

from reportgen.model.accounts import FileAccount, set_aside_from


def accounts_less(
    accounts: Iterable[FileAccount],
    rows: pd.DataFrame,
    *,
    code: str,
    reason: str,
    is_fault: bool = False,
) -> tuple[FileAccount, ...]:
    """Return the accounts with rows moved from used to set aside.

    Parameters
    ----------
    accounts : iterable of FileAccount
    rows : DataFrame
        With `walk`, `file` and `line`.
    code, reason : str
        Why they are set aside.
    is_fault : bool
        Whether something is wrong with them.
    """
    lines = {key: part["line"] for key, part in rows.groupby(["walk", "file"])}
    return tuple(
        replace(
            account,
            used=account.used - len(lines[account.walk, account.path]),
            set_aside=(
                *account.set_aside,
                *set_aside_from(
                    account.path,
                    (
                        (int(line), code, reason, is_fault)
                        for line in lines[account.walk, account.path]
                    ),
                ),
            ),
        )
        if (account.walk, account.path) in lines
        else account
        for account in accounts
    )
