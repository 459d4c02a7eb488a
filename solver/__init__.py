"""The day contract, its verifier and its solver. Knows nothing of the web app."""
