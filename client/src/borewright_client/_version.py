"""The version, read from the installed distribution so that it is written in one place only."""

from importlib.metadata import version

__version__ = version("borewright-client")
