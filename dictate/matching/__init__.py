"""Words to commands for the examination: numbers, sizes, phrases, negation, scope."""
