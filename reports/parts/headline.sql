-- Every figure that a page prints in a sentence, and the same figure of the audit before.
SELECT * FROM audit.headline
