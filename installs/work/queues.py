"""The queues, each with a worker of its own. One does while no kind of work holds up a permit packet."""

QUEUES = ("papers",)
