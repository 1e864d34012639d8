"""The numbers that decide between taking, asking and refusing. All in one place."""

from __future__ import annotations

ACCEPT = 80.0
"""Likeness (0 to 100) from which a misheard phrase is taken."""
SURE_LESION = 88.0
"""Likeness from which the name of a lesion is believed."""
ASK = 74.0
"""Likeness from which it is taken and asked about; below it is not understood."""
ASK_WORD = 82.0
"""The same for a single word: everyday words are like many a term."""
ASK_DETAIL = 82.0
"""The same for a description."""
SURE_PLACE = 90.0
"""Likeness from which a place said alone is gone to."""
LIKELY_COMMAND = 80.0
"""Likeness from which a whole utterance is taken for a command that changes no record."""
OVER_KNOWN = 84.0
"""Likeness from which it may also swallow a word that was understood by itself."""
REST = 64.0
"""Likeness that the rest must have when some words of a phrase were plainly understood."""
MARGIN = 8.0
"""Lead over the runner-up of another value below which the field is asked about."""
FUZZY_LETTERS = 5
"""Shortest phrase, in letters, that may be matched by likeness."""
WEAK_WORD = 0.70
"""Confidence below which a word of a critical field is always asked about."""
WEAK_UTTERANCE = 0.60
"""Confidence of a whole utterance below which all of its critical fields are asked about."""
NOISY_DB = 13.0
"""Loud moments above the quiet ones of an utterance, in dB, below which the same holds: other words
are then heard with confidence. Of development clips with suction, a handpiece or other voices 5 dB
under the speech 98 in 100 lie below, of those 10 dB under it 9, 44 and 7, of others none."""
WEAK_BESIDE = 0.70
"""Confidence of a word beside a place below which it may have named a part of it."""
APART = 3
"""Words between a place and one that was not understood from which that is no part of it."""
FAINT = 0.75
"""Confidence of a few words that name no place and no lesion below which they are put aside."""
FEW_WORDS = 3
ALIKE_WORD = 0.75
"""Confidence from which a word with a known sound-alike is believed."""
SURE_WORD = 0.90
"""The same for -teen and -ty, which differ by stress and a last consonant only."""
NBEST = 5
"""Readings of an utterance that are compared."""
NBEST_MARGIN = 4.0
"""How far below the best a reading may score and still be a witness. Of 72 development clips whose
second reading lay 4 to 6 below, none had the truth in the second."""
OFF_DICTATION = 0.30
"""Likelihood of dictation below which nothing is recorded."""
DOUBTFUL_DICTATION = 0.50
"""Likelihood of dictation below which everything critical is asked about."""
UNDERSTOOD = 0.50
"""Share of the telling words that must be understood for a finding."""
LARGEST_MM = 60.0
"""Above it, a size in the mouth or neck is more likely a slip between mm and cm."""
SMALLEST_MM = 0.5
ODD_WORD, ODD_DOUBT, ODD_NAMELESS = 1.0, 0.5, 1.0
"""What a reading loses of its score for each word that fits nothing, for each doubt, and where no
lesion is named. Of 660 development and invented clips in quiet and noise, words wrong 0.050 to
0.045; half or twice as much does less."""
