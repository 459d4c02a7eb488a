"""The bench: the solver beside general-purpose peers on invented days; ``python -m tests.bench``."""
