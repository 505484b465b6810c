"""Fixes of findings: changes tried on a copy of the finished design and judged by the checks; offered only if clear."""
