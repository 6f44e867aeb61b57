-- question: Which classes of surface has each person tried before, and how did they fail?
-- grain:    one row per person, position and class that was given up because it failed
-- key:      client_id, position, surface_class
-- inputs:   records.loans, policy.labels
-- beware:   a surface that went back for another reason did not fail; a class that failed once may suit as another item
-- stored:   view
-- columns:
--   client_id      id                        the person
--   position       code loans.position       lying or sitting
--   surface_class  code loans.surface_class  the class
--   told           text                      each trial with its days and why it failed, joined by ;
SELECT
    loans.client_id,
    loans.position,
    loans.surface_class,
    string_agg(
        'tried' || COALESCE(' from ' || CAST(loans.issued_on AS VARCHAR), '') || COALESCE(' to ' || CAST(loans.returned_on AS VARCHAR), '')
        || ': ' || COALESCE(ended.label, outcome.label),
        '; ' ORDER BY loans.issued_on, loans.loan_id
    ) AS told
FROM records.loans AS loans
LEFT JOIN policy.labels AS ended
    ON ended.kind = 'end_reason'
    AND ended.code = loans.end_reason
    AND loans.end_reason IN ('not_tolerated', 'wound_worse', 'bottomed_out')
LEFT JOIN policy.labels AS outcome
    ON outcome.kind = 'trial_outcome' AND outcome.code = loans.trial_outcome AND loans.trial_outcome IN ('change', 'stop')
WHERE loans.surface_class <> 'not_recorded' AND (ended.code IS NOT NULL OR outcome.code IS NOT NULL)
GROUP BY loans.client_id, loans.position, loans.surface_class
ORDER BY loans.client_id, loans.position, loans.surface_class
