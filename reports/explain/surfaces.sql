-- Which surfaces are in place?
SELECT loan_id, position, surface_class, owner, issued_on, is_where_person_is, in_use, state_seen_on, state_is_too_old,
       reviewed_on
FROM state.loans
WHERE client_id = $client_id
ORDER BY position, issued_on, loan_id
