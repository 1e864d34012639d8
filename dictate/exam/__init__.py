"""The examination itself: findings, coverage, review, and the rules that guard a record.

Pure domain: it knows no screen, microphone, speech engine or database.
"""
