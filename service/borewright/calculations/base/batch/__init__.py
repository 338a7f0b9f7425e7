"""Batches: columns in, columns out."""

from borewright.calculations.base.batch.answering import answer_batch, columns_of
from borewright.calculations.base.batch.results import columns_of_answer

__all__ = ["answer_batch", "columns_of", "columns_of_answer"]
