"""What every room's tests share: property tests that give the same answer every time, and signals that arrive."""

from __future__ import annotations

import signal

from hypothesis import settings

settings.register_profile("repeatable", deadline=None, derandomize=True, print_blob=False)
settings.load_profile("repeatable")

# A shell starts its background jobs, and so perhaps the tests, with the interrupt ignored; children inherit that.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)
if signal.getsignal(signal.SIGTERM) is signal.SIG_IGN:
    signal.signal(signal.SIGTERM, signal.SIG_DFL)


def pytest_make_parametrize_id(val: object, argname: str) -> str | None:
    """Archives carry the time at which they were made; names of tests must not, or no two processes agree on them."""
    return f"{argname}-of-{len(val)}-bytes" if isinstance(val, bytes) else None
