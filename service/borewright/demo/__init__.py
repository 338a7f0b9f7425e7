"""The demo: a whole work order through the service and its client, and the decision in words."""

from borewright.demo.run import demo

__all__ = ["demo"]
