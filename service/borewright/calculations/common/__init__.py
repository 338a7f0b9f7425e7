"""Pieces of requests and answers that several rooms share."""
