"""The queues, each with a worker of its own: no plan of a season waits for a packet, nor holds one up."""

QUEUES = ("papers", "plans")
WORKERS = {"papers": "worker", "plans": "planner"}
