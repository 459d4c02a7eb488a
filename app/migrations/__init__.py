"""How the tables came to be, step by step; each step is frozen once it was released."""
