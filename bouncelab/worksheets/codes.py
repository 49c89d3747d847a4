"""The short code on a sheet, from which its givens can be drawn again."""

from __future__ import annotations

import hashlib
import hmac

from bouncelab.errors import InputError

__all__ = ["checked_code", "new_code"]

# No letter that is read as a digit, and no vowel, so that no code is a word.
_LETTERS = "23456789BCDFGHJKMNPQRSTVWXYZ"
_BODY, _CHECK = 6, 2


def _letters(digest: bytes, count: int) -> str:
    number, made = int.from_bytes(digest, "big"), ""
    for _ in range(count):
        number, place = divmod(number, len(_LETTERS))
        made += _LETTERS[place]
    return made


def _with_check(body: str, ranges: str) -> str:
    check = hashlib.sha256(f"{body}|{ranges}".encode()).digest()
    return f"{body}-{_letters(check, _CHECK)}"


def new_code(seed: str, who: str, attempt: int, ranges: str) -> str:
    """Give the code of a sheet.

    Parameters
    ----------
    seed : str
        The teacher's text; it cannot be found from codes.
    who : str
        For whom the sheet is.
    attempt : int
        0; more if an earlier one gave what another student has.
    ranges : str
        The text that draws the givens.

    Returns
    -------
    str
        Six letters that decide the givens, and two that check them and the ranges.

    Examples
    --------
    >>> len(new_code("autumn", "Ann", 0, ""))
    9
    """
    # A terminal may pass letters on that no text should hold; they count all the same.
    key, text = (
        each.encode(errors="surrogatepass") for each in (seed, f"{who}|{attempt}")
    )
    made = hmac.new(key, text, hashlib.sha256)
    return _with_check(_letters(made.digest(), _BODY), ranges)


def checked_code(text: str, ranges: str) -> str:
    """Give a code as a person copied it from a sheet, checked.

    Parameters
    ----------
    text : str
        Small letters and blanks are fine.
    ranges : str
        The text that draws the givens.

    Returns
    -------
    str
        As it stands on the sheet.

    Raises
    ------
    InputError
        If it cannot be a code of sheets with these ranges.

    Examples
    --------
    >>> code = new_code("autumn", "Ann", 0, "")
    >>> checked_code(code.lower(), "") == code
    True
    """
    letters = "".join(text.upper().replace("-", " ").split())
    body = letters[:_BODY]
    whole = _with_check(body, ranges)
    if whole.replace("-", "") == letters:
        return whole
    if len(letters) != _BODY + _CHECK or set(letters) - set(_LETTERS):
        do = f"Copy it again; its letters are {_LETTERS}."
    else:
        do = (
            "Copy it again. If it is right, the ranges of this source were changed "
            "since, or the sheet was made from another source: the one in the folder "
            "of the key is as it was."
        )
    raise InputError(
        what="the code of a sheet",
        read=f"“{text[:40]}”",
        allowed="the code printed on a sheet of this source, such as K7QM3X-RD",
        do=do,
    )
