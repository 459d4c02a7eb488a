"""From the bytes of a day or plan file to its typed classes, with every fault of the file found in one pass."""
