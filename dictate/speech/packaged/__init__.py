"""The packaged neural engine, held to the vocabulary by its own beam decoder."""
