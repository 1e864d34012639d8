"""The trade's words: `vocab/*.toml` loaded and checked into a typed lexicon."""
