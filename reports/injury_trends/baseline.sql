-- By which numbers of the policy are the charts made?
SELECT CAST(max(CASE WHEN name = 'trend_baseline_months' THEN amount END) AS INTEGER) AS baseline_months,
       CAST(max(CASE WHEN name = 'trend_baseline_events' THEN amount END) AS INTEGER) AS baseline_events,
       CAST(max(CASE WHEN name = 'trend_provisional_months' THEN amount END) AS INTEGER) AS provisional_months,
       CAST(max(CASE WHEN name = 'injury_seen_within_days' THEN amount END) AS INTEGER) AS seen_within_days,
       CAST(max(CASE WHEN name = 'small_number_from' THEN amount END) AS INTEGER) AS small_from,
       CAST(max(CASE WHEN name = 'small_number_to' THEN amount END) AS INTEGER) AS small_to
FROM policy.parameters
