"""A file that a person names in words, where those may name nothing the system could hold."""

from contextlib import suppress
from pathlib import Path

from appreg.errors import InputRefused


def named_file(words: str, *, field: str) -> Path:
    """The path, `~` written out; raises InputRefused naming the field where no such path can be."""
    try:
        path = Path(words).expanduser()
        with suppress(FileNotFoundError, NotADirectoryError):
            path.lstat()
    except RuntimeError as problem:
        raise InputRefused(
            f"nobody here has the home folder in {words}; write the path in full.", subject=field
        ) from problem
    except ValueError as problem:
        raise InputRefused(
            f"{words} holds a character that no file name can have; choose another name.", subject=field
        ) from problem
    except OSError as problem:
        raise InputRefused(
            f"{words} cannot be a file ({problem.strerror}); choose another name.", subject=field
        ) from problem
    if not path.name:
        raise InputRefused(f"{words or 'nothing'} names no file but a folder; name a file in it.", subject=field)
    return path
