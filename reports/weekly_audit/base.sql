-- Of the mattresses that meet the need, for how many is it not recorded whether the body reaches the base; and which matches ask for care?
SELECT CAST(count(*) AS INTEGER) AS matched,
       CAST(count(*) FILTER (WHERE l.bottoming_check IS NULL) AS INTEGER) AS unchecked,
       (
           SELECT CAST(count(*) AS INTEGER)
           FROM fit.provision AS q
           WHERE q.verdict = 'matched' AND q.is_asked AND q.cautions IS NOT NULL
       ) AS with_care
FROM fit.provision AS p
LEFT JOIN records.loans AS l ON l.client_id = p.client_id AND l.loan_id = p.loan_id
WHERE p.position = 'lying' AND p.verdict = 'matched'
