-- Which faults are so common that they are one task for the service, and not a row for each person?
SELECT sentence FROM audit.service_sentences ORDER BY sentence
