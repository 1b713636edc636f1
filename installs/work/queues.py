"""The queues, each with a worker of its own: a yearly simulation never holds up a permit packet."""

QUEUES = ("papers", "plans")
