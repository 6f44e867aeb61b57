-- question: Is every accepted row of each feed accounted for once?
-- inputs:   quality.reconciliation
SELECT reconciliation.feed, reconciliation.accepted
FROM quality.reconciliation
WHERE reconciliation.accepted <> reconciliation.current + reconciliation.superseded + reconciliation.unchanged
    + reconciliation.duplicate + reconciliation.entered_in_error + reconciliation.waiting + reconciliation.withdrawn
