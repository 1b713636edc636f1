"""Until this room is built nothing is known of it, and its gates stay closed."""


def load_cures(jobs, at):
    return {}
