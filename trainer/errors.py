"""The errors that a user may see: each is one clear line, without a traceback."""


class TrainerError(Exception):
    """A fault that the user is told in one line; the command line prints it and ends with status 2."""


class AlreadyThere(TrainerError):
    """A file that is there already and is kept; the command line adds the option that replaces it."""
