"""A build: what is stated of one engine, where it may be stated, and what each calculation takes from it."""

from borewright.build.contradictions import Disagreement, disagreements
from borewright.build.schema import build_part
from borewright.build.state import Build, Taken

__all__ = ["Build", "Disagreement", "Taken", "build_part", "disagreements"]
