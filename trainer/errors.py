"""The one family of errors a user may meet: each is a single clear line, never a traceback."""


class TrainerError(Exception):
    """A fact the user has to know, in one line; the command line prints it and leaves with status 2."""


class AlreadyThere(TrainerError):
    """A file was there and stays; the command line adds which option writes over it."""
