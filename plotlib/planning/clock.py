"""Times for people."""

from __future__ import annotations


def clock(seconds: float) -> str:
    """Seconds as hours, minutes and seconds.

    Examples
    --------
    >>> clock(59.6), clock(3723), clock(0.4)
    ('1 min 00 s', '1 h 02 min 03 s', '0.4 s')
    """
    if seconds < 9.95:
        return f"{seconds:.1f} s"
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return f"{hours} h {minutes:02d} min {rest:02d} s"
    return f"{minutes} min {rest:02d} s" if minutes else f"{rest} s"
