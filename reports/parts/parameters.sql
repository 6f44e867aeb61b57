-- Which audit this is: the one row that every page names in its heading and its provenance.
SELECT as_of, known_at, looked_at, previous_as_of, is_first_audit, time_zone, held_for_days, audit_every_days,
       policy_fingerprint, store_fingerprint, software_version
FROM review.parameters
