-- By which rules does a month count as more than chance, and where do they come from?
SELECT s.rule, s.position, high.label AS words_high, low.label AS words_low, b.source
FROM policy.signals AS s
JOIN policy.labels AS high ON high.kind = 'signal' AND high.code = s.rule || '_high'
JOIN policy.labels AS low ON low.kind = 'signal' AND low.code = s.rule || '_low'
JOIN policy.blocks AS b ON b.kind = 'signal' AND b.block_id = s.rule
ORDER BY s.position
