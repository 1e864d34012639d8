"""A session as an HL7 FHIR R4 (4.0.1) document.

The FHIR specification is published under CC0; units are UCUM, (c) Regenstrief Institute, free to
use. No other code system is copied: what the record says is given in its own words, with the
vocabulary of this program as a local code system.
"""
