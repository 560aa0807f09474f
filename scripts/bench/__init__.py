"""The parts of ``scripts/benchmark.py``: instances in, measured rows out."""
